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
function letPickTwo(form) {
  const picked = [];
  form.addEventListener("change", (event) => {
    const box = event.target;
    if (box.name !== "piece") return;
    if (box.checked) picked.push(box); else picked.splice(picked.indexOf(box), 1);
    while (picked.length > 2) picked.shift().checked = false;
  });
}

tellTimes();
setInterval(tellTimes, 10000);
document.querySelectorAll(".drop").forEach(letDrop);
document.querySelectorAll('form[action$="/look/compare"]').forEach(letPickTwo);
