// A video of the member's own, played from the device: opened by an object URL, its frames counted,
// moved through by keys and buttons. Nothing here sends anything. What stamps.js needs of it stands
// in the section's `film`; each frame that is shown is told by a "frame" event.

(() => {
  "use strict";

  const SPEEDS = [0.1, 0.25, 0.5, 0.75, 1, 1.5, 2];
  const RATES = [24, 25, 30, 48, 50, 60, 90, 100, 120, 240];
  const USUAL_RATE = 30;
  const COUNTED = 12; // frames whose distance is measured
  const COUNTING_MS = 3000;
  const COUNTING_SPEED = 0.5; // so that a slow device drops none
  const NEAR = 0.04; // a rate this near to a usual one is that one

  function measuredRate(moments) {
    const gaps = moments.slice(1).map((moment, n) => moment - moments[n]).filter((gap) => gap > 0);
    if (gaps.length < 3) return null;
    const limit = 1.5 * Math.min(...gaps); // a gap over that has a frame dropped in it
    const whole = gaps.filter((gap) => gap <= limit);
    const rate = whole.length / whole.reduce((sum, gap) => sum + gap, 0);
    const usual = RATES.find((one) => Math.abs(one - rate) <= NEAR * one);
    return usual ?? Math.round(100 * rate) / 100;
  }

  function arm(section) {
    const part = (name) => section.querySelector(`[data-film-${name}]`);
    const video = part("picture");
    const rates = part("rate");
    const canTell = "requestVideoFrameCallback" in video;
    let address = null;
    let shown = 0; // s, the moment of the frame in sight
    let aim = 0; // s, where a seek is going
    let isPending = false; // that has brought no frame yet
    let rate = USUAL_RATE;
    let watchers = [];

    // --- The frame in sight ----------------------------------------------------------------------

    function show(moment) {
      shown = moment;
      // The frame of an earlier seek may still come in while a later one is on its way.
      if (!video.paused || (moment <= aim && aim - moment < 1 / rate)) isPending = false;
      part("place").value = String(Math.round(1000 * shown));
      part("place").setAttribute("aria-valuetext", words());
      part("now").textContent = words();
      section.dispatchEvent(new CustomEvent("frame"));
    }

    function words() {
      const speed = video.playbackRate === 1 ? "" : ` · speed ${video.playbackRate}`;
      return `${(Math.floor(10 * shown + 0.001) / 10).toFixed(1)} s, frame ${Math.round(shown * rate)}${speed}`;
    }

    function watch(now, { mediaTime }) {
      for (const watcher of watchers) watcher(mediaTime);
      show(mediaTime);
      video.requestVideoFrameCallback(watch);
    }

    if (canTell) video.requestVideoFrameCallback(watch);
    else {
      for (const name of ["timeupdate", "seeked"]) {
        video.addEventListener(name, () => show(video.currentTime));
      }
    }

    // --- Moving through it -----------------------------------------------------------------------

    function seek(moment) {
      const end = Number.isFinite(video.duration) ? video.duration - 0.5 / rate : Infinity;
      aim = Math.max(0, Math.min(moment, end));
      video.currentTime = aim;
      isPending = true;
    }

    // Aims at the middle of a frame, so that a moment rounded by the file is met all the same; while
    // the last step has brought no new frame yet, the next one goes on from where that went.
    function step(n) {
      video.pause();
      const from = isPending ? aim : shown + 0.5 / rate;
      seek(from + n / rate);
    }

    function play() {
      if (video.paused) video.play().catch(() => {});
      else video.pause();
    }

    function pace(by) {
      const at = SPEEDS.indexOf(video.playbackRate);
      video.playbackRate = SPEEDS[Math.max(0, Math.min(SPEEDS.length - 1, at + by))];
      part("now").textContent = words();
    }

    const acts = {
      back: () => step(-1),
      on: () => step(1),
      play,
      slower: () => pace(-1),
      faster: () => pace(1),
    };

    // --- Opening ---------------------------------------------------------------------------------

    function showRates(measured) {
      const known = measured === null || RATES.includes(measured) ? RATES : [measured, ...RATES];
      rates.replaceChildren(
        ...known.map((one) => new Option(one === measured ? `${one}, as measured` : String(one), String(one))),
      );
      rates.value = String(rate);
    }

    // Plays a moment of it unheard and reads off how far frames lie apart.
    async function measure() {
      if (!canTell) return null;
      const moments = [];
      video.muted = true;
      video.playbackRate = COUNTING_SPEED;
      try {
        await video.play();
        await new Promise((done) => {
          const enough = (moment) => {
            moments.push(moment);
            if (moments.length > COUNTED) done();
          };
          watchers = [enough];
          setTimeout(done, COUNTING_MS);
          video.addEventListener("ended", done, { once: true });
        });
      } catch {
        // The browser lets nothing play by itself: the member says the rate.
      }
      watchers = [];
      video.pause();
      video.playbackRate = 1;
      video.muted = false;
      return measuredRate(moments);
    }

    async function opened() {
      part("problem").textContent = "";
      part("room").hidden = part("more").hidden = false;
      part("label").textContent = "Another video";
      section.classList.add("is-open");
      section.classList.toggle("is-tall", video.videoHeight > video.videoWidth);
      const measured = await measure();
      rate = measured ?? USUAL_RATE;
      showRates(measured);
      part("place").max = String(Math.round(1000 * (Number.isFinite(video.duration) ? video.duration : 0)));
      part("place").step = String(Math.max(1, Math.round(1000 / rate)));
      seek(0);
      section.dispatchEvent(new CustomEvent("opened"));
    }

    function close() {
      if (address !== null) URL.revokeObjectURL(address);
      address = null;
      section.classList.remove("is-open");
      part("room").hidden = part("more").hidden = true;
    }

    part("file").addEventListener("change", () => {
      const [file] = part("file").files;
      close();
      if (file === undefined) return;
      address = URL.createObjectURL(file);
      video.src = address;
    });
    video.addEventListener("loadedmetadata", opened); // a phone loads no frame before it is played
    video.addEventListener("error", () => {
      if (address === null) return;
      close();
      part("problem").textContent =
        "This browser cannot play that file. Another browser may, or another format chosen in the camera.";
    });
    for (const name of ["play", "pause"]) {
      video.addEventListener(name, () => {
        section.querySelector("[data-film-do='play']").textContent = video.paused ? "Play" : "Pause";
      });
    }
    for (const key of section.querySelectorAll("[data-film-do]")) {
      key.addEventListener("click", acts[key.dataset.filmDo]);
    }
    part("place").addEventListener("input", () => {
      video.pause();
      seek(Number(part("place").value) / 1000 + 0.5 / rate);
    });
    rates.addEventListener("change", () => {
      rate = Number(rates.value);
      section.dispatchEvent(new CustomEvent("opened"));
    });
    addEventListener("pagehide", () => video.pause());

    section.film = {
      acts,
      isOpen: () => section.classList.contains("is-open"),
      momentMs: () => Math.round(1000 * shown),
      frameMs: () => 1000 / rate,
      goTo: (ms) => {
        video.pause();
        seek(ms / 1000 + 0.5 / rate);
      },
    };
    section.hidden = false;
  }

  document.addEventListener("DOMContentLoaded", () => {
    document.querySelectorAll("[data-film]").forEach(arm);
  });
})();
