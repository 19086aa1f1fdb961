// One more row in a table of rows, from the empty row the server sent along.

function total(box) {
  return box.closest("form").querySelector(`[name="${box.dataset.rows}-TOTAL_FORMS"]`);
}

function addRow(box) {
  const count = total(box);
  const number = Number.parseInt(count.value, 10);
  const row = box.querySelector("template").content.cloneNode(true);
  for (const element of row.querySelectorAll("*")) {
    for (const attribute of element.attributes) {
      attribute.value = attribute.value.replaceAll("__prefix__", String(number));
    }
  }
  for (const words of row.querySelectorAll(".vh")) {
    words.textContent = words.textContent.replace("new", String(number + 1));
  }
  count.value = String(number + 1);
  const body = box.querySelector("tbody");
  body.append(row);
  body.lastElementChild.querySelector("input:not([type=hidden]), select, textarea")?.focus();
}

function show(root) {
  for (const button of root.querySelectorAll("[data-add-row]")) {
    button.hidden = false;
  }
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-add-row]");
  if (button) {
    addRow(button.closest("[data-rows]"));
  }
});
document.addEventListener("htmx:afterSettle", (event) => show(event.target));
show(document);
