// What is being typed stays in its field until the field is left. Without this a field shows its last value again as
// soon as anything else about it changes, such as its label, and what was typed is lost.
const TYPED = '.jupyter-widgets :is(input[type="text"], textarea)';

export function keepTyping() {
  document.addEventListener("input", ({target}) => {
    if (target.matches?.(TYPED) && !Object.hasOwn(target, "value")) hold(target);
  });
  // before the field itself hears of it
  document.addEventListener("change", ({target}) => delete target.value, true);
}

// Refuse every value that is set from outside until the field is left; then take the last one, unless it was changed.
function hold(field) {
  const {get} = Object.getOwnPropertyDescriptor(Object.getPrototypeOf(field), "value");
  let refused;
  Object.defineProperty(field, "value", {configurable: true, get, set: (value) => (refused = value)});
  field.addEventListener(
    "blur",
    () => {
      const held = Object.hasOwn(field, "value");
      delete field.value;
      if (held && refused !== undefined) field.value = refused;
    },
    {once: true},
  );
}
