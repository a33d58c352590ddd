// What the workbook shows that ipywidgets cannot: fields with a name, a state and words of their own, handles that say
// their value, real fold buttons, pictures with words, and one place whose words are read out.

let count = 0;

function make(tag, kind, attributes = {}) {
  const node = document.createElement(tag);
  node.className = kind;
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
  return node;
}

// Call `show` now and whenever one of the traits changes; ends with the view.
function follow(model, signal, names, show) {
  for (const name of names) model.on(`change:${name}`, show);
  signal?.addEventListener("abort", () => names.forEach((name) => model.off(`change:${name}`, show)));
  show();
}

// One message under way at a time: what comes meanwhile waits, and only the last of it is sent.
function sender(model, signal) {
  let busy = null, waiting = null;
  const free = () => {
    clearTimeout(busy);
    busy = null;
    if (waiting) send(waiting);
  };
  const send = (message) => {
    if (busy) {
      waiting = message;
      return;
    }
    waiting = null;
    busy = setTimeout(free, 3000); // a kernel that was started anew never answers
    model.send(message);
  };
  model.on("msg:custom", free);
  signal?.addEventListener("abort", () => model.off("msg:custom", free));
  return { send, idle: () => busy === null };
}

function entry({ model, el, signal }) {
  const id = `pm-entry-${(count += 1)}-${Math.random().toString(36).slice(2, 8)}`;
  const label = make("label", "pm-label", { for: id, id: `${id}-label` });
  const many = model.get("lines") > 1;
  const field = make(many ? "textarea" : "input", "pm-field", {
    id, autocomplete: "off", spellcheck: "false", "aria-describedby": `${id}-says`,
  });
  if (many) field.rows = model.get("lines");
  else field.type = "text";
  const says = make("div", "pm-says", { id: `${id}-says` });
  const post = sender(model, signal);
  let sent = model.get("text");
  el.classList.add("pm-entry");
  el.append(label);
  if (model.get("handle")) el.append(handle(model, signal, id, post));
  el.append(field, says);

  let edited = false; // the same text typed anew counts as typed
  const commit = () => {
    if (field.value === sent && !edited) return;
    edited = false;
    sent = field.value;
    model.send({ typed: sent });
  };
  field.addEventListener("input", () => { edited = true; });
  field.addEventListener("change", commit);
  field.addEventListener("blur", commit);
  field.addEventListener("keydown", (event) => {
    if (event.key === "Enter" && !many) {
      edited = true;
      commit();
    }
    if (event.key === "Escape") {
      edited = false;
      field.value = model.get("good");
      commit();
    }
    event.stopPropagation(); // the notebook has shortcuts of its own
  });
  follow(model, signal, ["label", "help", "placeholder", "disabled"], () => {
    label.textContent = model.get("label");
    label.title = model.get("help");
    field.title = model.get("help");
    field.placeholder = model.get("placeholder");
    field.disabled = model.get("disabled");
    if (model.get("spoken")) field.setAttribute("aria-label", model.get("spoken"));
  });
  follow(model, signal, ["text"], () => {
    const typing = document.activeElement === field && field.value !== sent;
    if (typing) return;
    sent = model.get("text");
    if (field.value === sent) return;
    const marked = document.activeElement === field && field.selectionEnd - field.selectionStart === field.value.length;
    field.value = sent;
    if (marked) field.select(); // who is about to type over all of it still does
  });
  follow(model, signal, ["echo", "wrong", "doubt"], () => {
    const wrong = model.get("wrong");
    field.setAttribute("aria-invalid", wrong ? "true" : "false");
    el.classList.toggle("pm-wrong", Boolean(wrong));
    el.classList.toggle("pm-doubt", model.get("doubt") && !wrong);
    says.textContent = wrong || model.get("echo");
    says.hidden = !says.textContent;
  });
}

function handle(model, signal, id, post) {
  const bar = make("div", "pm-handle", {
    role: "slider", tabindex: "0", "aria-orientation": "horizontal", "aria-labelledby": `${id}-label`,
  });
  const knob = make("div", "pm-knob");
  const filled = make("div", "pm-filled");
  bar.append(filled, knob);
  let place = model.get("place"), dragging = false;
  const ends = () => [model.get("low"), model.get("high"), model.get("step")];
  const draw = () => {
    const [low, high] = ends();
    const share = Math.min(Math.max((place - low) / (high - low), 0), 1);
    knob.style.left = filled.style.width = `${100 * share}%`;
    bar.setAttribute("aria-valuemin", low);
    bar.setAttribute("aria-valuemax", high);
    bar.setAttribute("aria-valuenow", Number(place.toPrecision(9)));
  };
  const move = (value) => {
    const [low, high] = ends();
    value = Number(Math.min(Math.max(value, low), high).toFixed(6));
    if (value === place) return;
    place = value;
    draw();
    const [, unit] = model.get("said").match(/^[-−+0-9.,e]*(.*)$/s); // until the kernel says it in full
    bar.setAttribute("aria-valuetext", Number((place * model.get("per")).toPrecision(6)) + unit);
    post.send({ dragged: value });
  };
  const onGrid = (value) => {
    const [low, , step] = ends();
    return low + Math.round((value - low) / step) * step;
  };
  const stepped = (steps) => {
    const [low, , step] = ends();
    const at = (place - low) / step, near = Math.round(at);
    const from = Math.abs(at - near) < 1e-6 ? near : steps > 0 ? Math.floor(at) : Math.ceil(at);
    move(low + (from + steps) * step);
  };
  const keys = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: 10, PageDown: -10 };
  bar.addEventListener("keydown", (event) => {
    const [low, high] = ends();
    if (model.get("disabled") || event.ctrlKey || event.altKey || event.metaKey) return;
    if (event.key in keys) stepped(keys[event.key]);
    else if (event.key === "Home") move(low);
    else if (event.key === "End") move(high);
    else return;
    event.preventDefault();
    event.stopPropagation();
  });
  const atPointer = (event) => {
    const box = bar.getBoundingClientRect(), [low, high] = ends();
    move(onGrid(low + ((event.clientX - box.left) / box.width) * (high - low)));
  };
  bar.addEventListener("pointerdown", (event) => {
    if (model.get("disabled") || event.button) return;
    dragging = true;
    bar.setPointerCapture(event.pointerId);
    atPointer(event);
  });
  bar.addEventListener("pointermove", (event) => dragging && atPointer(event));
  for (const end of ["pointerup", "pointercancel"]) bar.addEventListener(end, () => (dragging = false));
  const settled = () => {
    if (dragging || !post.idle()) return; // the hand is further already
    place = model.get("place");
    draw();
  };
  follow(model, signal, ["place", "low", "high", "step"], settled);
  model.on("msg:custom", settled); // what came while the hand was further
  signal?.addEventListener("abort", () => model.off("msg:custom", settled));
  follow(model, signal, ["said", "disabled"], () => {
    bar.setAttribute("aria-valuetext", model.get("said"));
    bar.setAttribute("aria-disabled", model.get("disabled") ? "true" : "false");
    bar.tabIndex = model.get("disabled") ? -1 : 0;
  });
  return bar;
}

function fold({ model, el, signal }) {
  const button = make("button", "pm-fold", { type: "button" });
  el.append(button);
  button.addEventListener("click", () => {
    model.set("opened", !model.get("opened"));
    model.save_changes();
  });
  follow(model, signal, ["title", "opened"], () => {
    button.textContent = model.get("title");
    button.setAttribute("aria-expanded", model.get("opened") ? "true" : "false");
  });
}

function picture({ model, el, signal }) {
  const image = make("img", "pm-image");
  let address = null;
  el.append(image);
  const release = () => address && URL.revokeObjectURL(address);
  follow(model, signal, ["value"], () => {
    const data = model.get("value");
    const before = address;
    image.hidden = !data || data.byteLength === 0;
    if (image.hidden) return;
    address = URL.createObjectURL(new Blob([data], { type: "image/png" }));
    image.src = address;
    if (before) setTimeout(() => URL.revokeObjectURL(before), 2000);
  });
  follow(model, signal, ["alt"], () => (image.alt = model.get("alt")));
  signal?.addEventListener("abort", release);
}

function spoken({ model, el, signal }) {
  const place = make("div", "pm-spoken", { role: "status", "aria-live": "polite" });
  el.append(place);
  let pending = null; // words wait until they and the hand have rested: who listens hears the end, not each step
  const say = () => {
    pending = null;
    place.textContent = model.get("words");
  };
  const wait = () => {
    clearTimeout(pending);
    pending = setTimeout(say, 300);
  };
  const handMoves = () => pending && wait();
  follow(model, signal, ["words"], () => (place.textContent ? wait() : say()));
  for (const touch of ["keydown", "pointermove"]) window.addEventListener(touch, handMoves, { signal, capture: true });
  bringIntoView(place, signal);
}

// A panel that has just come to life is scrolled so far that verdict, picture and first inputs are seen together,
// while it takes its final shape and as long as nobody has touched anything.
function bringIntoView(place, signal) {
  let looks = 25;
  const hand = new AbortController();
  const stop = () => {
    clearInterval(timer);
    hand.abort();
  };
  const look = () => {
    const panel = place.closest(".pm-panel"), last = panel?.querySelector(".pm-first")?.lastElementChild;
    const page = panel?.closest(".jp-WindowedPanel-outer");
    if (!looks--) stop();
    if (!page || !last?.offsetHeight) return;
    const seen = page.getBoundingClientRect(), top = panel.getBoundingClientRect().top;
    if (top < seen.top - 1 || last.getBoundingClientRect().bottom > seen.bottom) page.scrollTop += top - seen.top;
  };
  const timer = setInterval(look, 100);
  for (const touch of ["wheel", "pointerdown", "keydown", "touchstart"])
    window.addEventListener(touch, stop, { signal: hand.signal, capture: true, passive: true });
  signal?.addEventListener("abort", stop);
}

const KINDS = { entry, fold, picture, spoken };

export default {
  render: ({ model, el, signal }) => KINDS[model.get("kind")]({ model, el, signal }),
};
