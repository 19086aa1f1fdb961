// On the plan, a booking can be dragged, or moved with Shift and an arrow key. The page
// then says what that breaks; moving it takes a button. Opening a booking does the same.

const plan = document.querySelector(".plan");
const columns = [...plan.querySelectorAll("thead .half")];
let dragged = null;

function ask(slot, crew, column) {
  if (!crew || !column) {
    return;
  }
  const { day, half } = column.dataset;
  const place = new URLSearchParams({ crew, start_on: day, start_half: half });
  window.htmx.ajax("GET", `${slot.dataset.move}?${place}`, { target: "#move", swap: "outerHTML" });
}

function startOf(slot) {
  const { day, half } = slot.dataset;
  return columns.findIndex((column) => column.dataset.day === day && column.dataset.half === half);
}

function columnAt(x) {
  return columns.findIndex((column) => {
    const box = column.getBoundingClientRect();
    return box.left <= x && x < box.right;
  });
}

const rows = [...plan.querySelectorAll("tr[data-crew]")];
const keys = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

plan.addEventListener("keydown", (event) => {
  const slot = event.target.closest("[data-move]");
  const step = keys[event.key];
  if (!slot || !step || !event.shiftKey) {
    return;
  }
  event.preventDefault();
  const row = rows.indexOf(slot.closest("tr")) + step[1];
  ask(slot, rows[row]?.dataset.crew, columns[startOf(slot) + step[0]]);
});

plan.addEventListener("dragstart", (event) => {
  const slot = event.target.closest("[data-move]");
  dragged = slot && { slot, by: columnAt(event.clientX) - startOf(slot) };
});

plan.addEventListener("dragover", (event) => {
  if (dragged && event.target.closest("tr[data-crew]")) {
    event.preventDefault();
  }
});

plan.addEventListener("drop", (event) => {
  const row = event.target.closest("tr[data-crew]");
  if (dragged && row) {
    event.preventDefault();
    ask(dragged.slot, row.dataset.crew, columns[columnAt(event.clientX) - dragged.by]);
  }
});

plan.addEventListener("dragend", () => {
  dragged = null;
});
