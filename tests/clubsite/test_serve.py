"""Forwarded headers count from the configured proxy alone."""

from dataclasses import replace

from clubsite.management.commands.serve import server_settings


def test_without_a_proxy_no_forwarded_header_is_believed():
    chosen = server_settings("127.0.0.1", 8000)
    assert "trusted_proxy" not in chosen
    assert chosen["clear_untrusted_proxy_headers"] is True


def test_with_a_proxy_its_headers_alone_are_believed(settings):
    settings.ENVIRONMENT = replace(settings.ENVIRONMENT, proxy="10.0.0.5")
    chosen = server_settings("10.0.0.9", 8000)
    assert chosen["trusted_proxy"] == "10.0.0.5"
    assert chosen["trusted_proxy_headers"] == {"x-forwarded-for", "x-forwarded-proto"}
    assert chosen["clear_untrusted_proxy_headers"] is True
