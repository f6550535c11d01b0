// What is being typed stays in its field until the field is left. Without this a field shows its last value again as
// soon as anything else about it changes, such as its label, and what was typed is lost.
const TYPED = '.jupyter-widgets :is(input[type="text"], textarea)';

const refused = new WeakMap(); // the fields that are being typed in, and the last value that each did not take

export function keepTyping() {
  document.addEventListener("input", ({target}) => {
    if (target.matches?.(TYPED) && !refused.has(target)) hold(target);
  });
  // before the field's own handler runs, which reads what was typed
  document.addEventListener("change", ({target}) => release(target), true);
  // left as it was before: what came meanwhile is shown
  document.addEventListener("focusout", ({target}) => {
    const value = release(target);
    if (value !== undefined) target.value = value;
  });
}

function hold(field) {
  const {get} = Object.getOwnPropertyDescriptor(Object.getPrototypeOf(field), "value");
  refused.set(field, undefined);
  Object.defineProperty(field, "value", {configurable: true, get, set: (value) => refused.set(field, value)});
}

function release(field) {
  const value = refused.get(field);
  if (refused.delete(field)) delete field.value;
  return value;
}
