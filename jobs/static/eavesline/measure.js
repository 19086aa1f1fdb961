// Two diagonals in, difference and tolerance out, while typing. The server decides again.

function answer(box) {
  const inputs = [...box.querySelectorAll("input:not([type=hidden])")].slice(0, 2);
  const [a, b] = inputs.map((input) => Number.parseFloat(input.value.replace(",", ".")));
  const allowed = Number.parseFloat(box.dataset.toleranceMm);
  const out = box.querySelector(".diagonals-answer");
  if (Number.isNaN(a) || Number.isNaN(b) || !out) {
    return;
  }
  const difference = Math.round(Math.abs(a - b) * 10) / 10;
  const square = difference <= allowed;
  const state = document.createElement("span");
  state.className = "state";
  state.dataset.state = square ? "ok" : "no";
  state.textContent = square ? "Square" : "Not square";
  const says = [state, ` Difference ${difference} mm. Allowed ${allowed} mm.`];
  const should = Number.parseFloat(box.dataset.expectedMm);
  if (square && Math.abs((a + b) / 2 - should) > 2 * allowed) {
    says.push(` The set-out figure is ${should} mm: check the sides.`);
  }
  out.replaceChildren(...says);
}

document.addEventListener("input", (event) => {
  const box = event.target.closest(".diagonals");
  if (box) {
    answer(box);
  }
});
