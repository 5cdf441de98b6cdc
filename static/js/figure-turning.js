// Turning the picture with mouse, pen or finger.

const DEG_PER_PX = 0.45;

export function turnByDragging(canvas, turn) {
  canvas.addEventListener("pointerdown", (down) => {
    if (down.button !== 0) return;
    canvas.setPointerCapture(down.pointerId);
    let [x, y] = [down.clientX, down.clientY];
    const move = (event) => {
      turn((x - event.clientX) * DEG_PER_PX, (event.clientY - y) * DEG_PER_PX);
      [x, y] = [event.clientX, event.clientY];
    };
    const end = () => {
      canvas.removeEventListener("pointermove", move);
      canvas.removeEventListener("pointerup", end);
      canvas.removeEventListener("pointercancel", end);
    };
    canvas.addEventListener("pointermove", move);
    canvas.addEventListener("pointerup", end);
    canvas.addEventListener("pointercancel", end);
  });
}
