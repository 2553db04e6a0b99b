// What scripts add, and nothing rests on: the time since the last coat goes on, a file may be dropped.
"use strict";

function since(then) {
  const seconds = Math.floor((Date.now() - then) / 1000);
  if (seconds < 0) return "its time lies ahead of this clock";
  if (seconds < 60) return "just now";
  const minutes = Math.floor(seconds / 60);
  return minutes < 120 ? `${minutes} min ago` : `${Math.floor(minutes / 60)} h ${minutes % 60} min ago`;
}

function tellTimes() {
  for (const place of document.querySelectorAll("time[data-since]")) {
    const then = Date.parse(place.dataset.since);
    if (!Number.isNaN(then)) place.textContent = since(then);
  }
}

function letDrop(place) {
  const field = place.querySelector("input[type=file]");
  for (const kind of ["dragenter", "dragover"]) {
    place.addEventListener(kind, (event) => { event.preventDefault(); place.classList.add("over"); });
  }
  for (const kind of ["dragleave", "drop"]) {
    place.addEventListener(kind, (event) => { event.preventDefault(); place.classList.remove("over"); });
  }
  place.addEventListener("drop", (event) => {
    if (event.dataTransfer.files.length) {
      field.files = event.dataTransfer.files;
      field.form.requestSubmit();
    }
  });
}

// Two pieces are compared: a third pick lets the first one go.
function letPickTwo(place) {
  const picked = [];
  place.addEventListener("change", (event) => {
    const box = event.target;
    if (box.name !== "piece" || box.getAttribute("form") !== "compare") return;
    if (box.checked) picked.push(box); else picked.splice(picked.indexOf(box), 1);
    while (picked.length > 2) picked.shift().checked = false;
  });
}

// The wall by hand: a piece is carried by its tape or moved by its arrows, and the places go to this machine.
function letArrange(wall) {
  const form = document.getElementById("places");
  const pieces = () => [...wall.querySelectorAll("[data-piece]")];
  const place = (piece) => piece.querySelector("input[name^='place-']");
  async function keep(piece, words) {
    pieces().forEach((one, at) => { place(one).value = Number(form.dataset.first) + at; });
    const told = document.getElementById("moved");
    const answer = await fetch(form.action, { method: "POST", body: new FormData(form), redirect: "manual" });
    const kept = answer.type === "opaqueredirect" || answer.ok;
    told.textContent = kept ? words : "That was not kept: load the page anew.";
    told.classList.toggle("unseen", kept);
    if (kept) pieces().forEach((one) => { place(one).defaultValue = place(one).value; });
  }
  function said(piece) {
    return `${piece.querySelector(".grip").textContent} hangs at place ${Number(form.dataset.first) + pieces().indexOf(piece)}.`;
  }
  wall.addEventListener("click", (event) => {
    const button = event.target.closest("button[name=move]");
    if (!button) return;
    const piece = button.closest("[data-piece]");
    const before = button.value.endsWith("-1");
    const other = before ? piece.previousElementSibling : piece.nextElementSibling;
    if (!other) return;  // onto another page: the server does it
    event.preventDefault();
    if (before) other.before(piece); else other.after(piece);
    button.focus();
    keep(piece, said(piece));
  });
  let carried = null;
  wall.addEventListener("pointerdown", (event) => {
    const grip = event.target.closest(".grip");
    if (!grip || event.button !== 0) return;
    event.preventDefault();
    carried = { piece: grip.closest("[data-piece]"), moved: false };
    carried.piece.classList.add("lifted");
  });
  document.addEventListener("pointermove", (event) => {
    if (!carried) return;
    const over = document.elementFromPoint(event.clientX, event.clientY)?.closest(".by-hand [data-piece]");
    if (!over || over === carried.piece) return;
    const all = pieces();
    if (all.indexOf(over) > all.indexOf(carried.piece)) over.after(carried.piece); else over.before(carried.piece);
    carried.moved = true;
  });
  for (const end of ["pointerup", "pointercancel"]) {
    document.addEventListener(end, () => {
      if (!carried) return;
      const { piece, moved } = carried;
      piece.classList.remove("lifted");
      carried = null;
      if (moved) keep(piece, said(piece));
    });
  }
}

tellTimes();
setInterval(tellTimes, 10000);
document.querySelectorAll(".drop").forEach(letDrop);
letPickTwo(document);
for (const slider of document.querySelectorAll(".sliding input[type=range]")) {
  slider.addEventListener("change", () => slider.form.requestSubmit());
}
document.querySelectorAll(".by-hand").forEach(letArrange);
document.addEventListener("fresh", () => {  // live.js put what is new in place
  tellTimes();
  document.querySelectorAll(".drop").forEach(letDrop);
});
