"""How long a case takes to learn, less what carries over from what is known."""

from dataclasses import dataclass

TRIGGER_FACTOR = 0.8
MIRROR_FACTOR = 0.6


@dataclass(frozen=True, slots=True)
class CarryOver:
    """What of an algorithm is known already.

    Attributes:
        knows_trigger: One of its named runs of turns is in an algorithm that goes in one look.
        knows_mirror: Its mirror or its inverse goes in one look.
    """

    knows_trigger: bool = False
    knows_mirror: bool = False


def effort_h(
    base_h: float,
    carry_over: CarryOver,
    *,
    trigger_factor: float = TRIGGER_FACTOR,
    mirror_factor: float = MIRROR_FACTOR,
) -> float:
    """Hours to learn a case.

    The factors are start values that a club may tune, multiplied where both hold. That chunks
    transfer: Chase and Simon 1973; Sakai, Kitaguchi and Hikosaka 2003.

    Args:
        base_h: Hours with nothing to build on, above 0.
        carry_over: What is known already.
        trigger_factor: What a known trigger leaves of the effort, above 0.
        mirror_factor: What a known mirror or inverse leaves of it, above 0.

    Raises:
        ValueError: ``base_h`` or a factor is not above 0.
    """
    for name, value in {
        "base_h": base_h,
        "trigger_factor": trigger_factor,
        "mirror_factor": mirror_factor,
    }.items():
        if value <= 0:
            raise ValueError(f"{name} is {value}: it must be above 0")
    hours = base_h * (trigger_factor if carry_over.knows_trigger else 1.0)
    return hours * (mirror_factor if carry_over.knows_mirror else 1.0)
