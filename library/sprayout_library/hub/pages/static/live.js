// New readings, coats and answers appear without a reload; without this, they appear with one.
"use strict";

(() => {
  const main = document.getElementById("main");
  if (!main || !main.dataset.live || !window.EventSource) return;
  let mark = main.dataset.mark;
  let source = null;
  let asking = null;
  let sent = -Infinity;
  const news = document.createElement("p");
  news.className = "news";
  news.setAttribute("role", "status");
  main.before(news);

  // What somebody is about to say is never taken away from under their hands.
  function touched() {
    if (main.querySelector(".by-hand")) return true;
    const held = document.activeElement;
    if (held && held !== main && main.contains(held)) return true;
    for (const one of main.querySelectorAll("input, select, textarea")) {
      if (one.type === "hidden") continue;
      if (one.type === "file" ? one.files.length : one.type === "checkbox" || one.type === "radio"
        ? one.checked !== one.defaultChecked : one.options
          ? [...one.options].some((option) => option.defaultSelected !== option.selected && one.selectedIndex > 0)
          : one.value !== one.defaultValue) return true;
    }
    return false;
  }

  function show(fresh) {
    const open = new Set([...main.querySelectorAll("details[open] > summary")].map((one) => one.textContent));
    main.replaceChildren(...document.importNode(fresh, true).childNodes);
    for (const one of main.querySelectorAll("details > summary")) {
      if (open.has(one.textContent)) one.parentElement.open = true;
    }
    document.dispatchEvent(new Event("fresh"));
  }

  // A form that was sent changes what there is here; the page that answers it tells of that, and maybe ends this one.
  const SENT_MS = 60000;
  addEventListener("submit", (event) => { if (!event.defaultPrevented) sent = performance.now(); });

  async function ask(words) {
    if (performance.now() - sent < SENT_MS) {
      asking = setTimeout(() => ask(words).catch(() => {}), 1000);
      return;
    }
    const answer = await fetch(location.href, { headers: { accept: "text/html" } });
    if (!answer.ok || answer.redirected) return stop();
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("main");
    if (!fresh || !fresh.dataset.mark) return stop();
    if (!touched()) {
      show(fresh);
      tell(`New: ${words}`);
      return;
    }
    const button = document.createElement("button");
    button.className = "big quiet";
    button.textContent = "Show it";
    button.addEventListener("click", () => location.reload());
    tell(`New: ${words} `, button);
  }

  function tell(words, ...more) {
    news.replaceChildren(document.createTextNode(words), ...more);
  }

  function stop() {
    if (source) source.close();
    source = null;
  }

  function listen() {
    if (source || document.hidden) return;
    source = new EventSource(`${main.dataset.live}?since=${encodeURIComponent(mark)}`);
    source.addEventListener("news", (event) => {
      mark = event.lastEventId;
      clearTimeout(asking);
      asking = setTimeout(() => ask(JSON.parse(event.data).words).catch(() => {}), 50 + Math.random() * 250);
    });
  }

  // A page in the background holds no line: browsers have few for one place.
  document.addEventListener("visibilitychange", () => (document.hidden ? stop() : listen()));
  addEventListener("pagehide", stop);
  addEventListener("pageshow", () => { sent = -Infinity; listen(); });
  listen();
})();
