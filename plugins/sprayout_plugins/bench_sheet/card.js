
(function () {
  "use strict";
  var key = document.body.dataset.code;
  var fields = Array.prototype.slice.call(document.querySelectorAll("input"));
  var store;
  try { store = window.localStorage; store.getItem(key); } catch (refused) { return; }
  if (!store) { return; }
  function keep() {
    var state = {};
    fields.forEach(function (field) {
      var value = field.type === "checkbox" ? field.checked : field.value;
      if (value) { state[field.id] = value; }
    });
    try { store.setItem(key, JSON.stringify(state)); say("Ticks are kept on this device."); }
    catch (full) { say("Ticks could not be kept: this device's store is full."); }
  }
  function say(text) { document.getElementById("kept").textContent = text; }
  function show(state) {
    fields.forEach(function (field) {
      if (field.type === "checkbox") { field.checked = state[field.id] === true; }
      else { field.value = typeof state[field.id] === "string" ? state[field.id] : ""; }
    });
  }
  var state = {};
  try { state = JSON.parse(store.getItem(key)) || {}; } catch (damaged) { state = {}; }
  show(state);
  say("Ticks are kept on this device.");
  document.addEventListener("input", keep);
  document.getElementById("clear").addEventListener("click", function () { show({}); keep(); });
  document.getElementById("tools").hidden = false;
}());
