"use strict";
document.querySelectorAll("table.long").forEach(function (table, place) {
  var rows = Array.from(table.tBodies[0].rows);
  var texts = rows.map(function (row) { return row.textContent.toLowerCase(); });
  var line = document.createElement("p");
  var label = document.createElement("label");
  var field = document.createElement("input");
  var count = document.createElement("span");
  line.className = "filter";
  field.type = "search";
  field.id = "filter-" + place;
  label.htmlFor = field.id;
  label.textContent = "Show rows with";
  count.setAttribute("role", "status");
  line.append(label, field, count);
  table.parentNode.before(line);
  field.addEventListener("input", function () {
    var wanted = field.value.trim().toLowerCase(), shown = 0;
    rows.forEach(function (row, i) {
      row.hidden = !texts[i].includes(wanted);
      shown += row.hidden ? 0 : 1;
    });
    count.textContent = wanted ? shown + " of " + rows.length + " rows" : "";
  });
});
