// A finger may sign beside the typed name. The strokes go along as points in a 0..1000 box.

const drawn = new WeakMap();

function paint(canvas) {
  const context = canvas.getContext("2d");
  context.clearRect(0, 0, canvas.width, canvas.height);
  context.lineWidth = 3 * (canvas.width / canvas.clientWidth);
  context.lineCap = context.lineJoin = "round";
  context.strokeStyle = getComputedStyle(canvas).color;
  for (const stroke of drawn.get(canvas)) {
    context.beginPath();
    stroke.forEach(([x, y], i) => {
      const point = [(x / 1000) * canvas.width, (y / 1000) * canvas.height];
      if (i === 0) {
        context.moveTo(...point);
        context.lineTo(...point);
      } else {
        context.lineTo(...point);
      }
    });
    context.stroke();
  }
}

function spot(canvas, event) {
  const box = canvas.getBoundingClientRect();
  return [
    Math.round(((event.clientX - box.left) / box.width) * 1000),
    Math.round(((event.clientY - box.top) / box.height) * 1000),
  ];
}

function keep(area, canvas) {
  const strokes = drawn.get(canvas);
  area.querySelector("input[type=hidden]").value = strokes.length ? JSON.stringify(strokes) : "";
  paint(canvas);
}

function ready(area) {
  const canvas = area.querySelector("canvas");
  if (!canvas || drawn.has(canvas)) {
    return;
  }
  area.classList.add("ready");
  drawn.set(canvas, []);
  canvas.width = canvas.clientWidth * window.devicePixelRatio;
  canvas.height = canvas.clientHeight * window.devicePixelRatio;
  let stroke = null;
  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    stroke = [spot(canvas, event)];
    drawn.get(canvas).push(stroke);
    keep(area, canvas);
  });
  canvas.addEventListener("pointermove", (event) => {
    if (stroke) {
      stroke.push(spot(canvas, event));
      paint(canvas);
    }
  });
  for (const end of ["pointerup", "pointercancel"]) {
    canvas.addEventListener(end, () => {
      stroke = null;
      keep(area, canvas);
    });
  }
  area.querySelector("[data-signature-clear]").addEventListener("click", () => {
    drawn.set(canvas, []);
    keep(area, canvas);
  });
}

function readyAll(root) {
  root.querySelectorAll("[data-signature]").forEach(ready);
}

document.addEventListener("htmx:afterSettle", (event) => readyAll(event.target));
readyAll(document);
