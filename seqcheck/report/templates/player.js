// Plays the runs of the page: one clock, and for every moment what the courses in the data say. No network, no storage.
(function () {
  "use strict";
  const data = JSON.parse(document.getElementById("replay-data").textContent);
  const find = (id) => document.getElementById(id);
  const NS = "http://www.w3.org/2000/svg";
  if (!data.replays.length) return;
  find("player").hidden = false;

  const slider = find("clock"), chosen = find("run"), speed = find("speed"), zoom = find("zoom"), which = find("chart-choice");
  const state = { run: data.replays[0], time: 0, playing: false, before: 0, marks: [], view: [0, 1] };

  // -- looking up ---------------------------------------------------------------------------------------------------
  function index(course, time) {  // the last entry that is not later; 0 if all are
    let low = 0, high = course.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (course[middle][0] <= time) low = middle; else high = middle - 1;
    }
    return low;
  }
  const holding = (course, time) => course.length ? course[index(course, time)][1] : 0;
  function going(course, time) {
    if (!course.length) return 0;
    const at = index(course, time), first = course[at], second = course[at + 1];
    if (!second || time <= first[0] || second[0] === first[0]) return first[1];
    return first[1] + (second[1] - first[1]) * (time - first[0]) / (second[0] - first[0]);
  }
  function along(curve, time) {
    const times = curve.times_us;
    let low = 0, high = times.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (times[middle] <= time) low = middle; else high = middle - 1;
    }
    if (low + 1 >= times.length || times[low + 1] === times[low] || time <= times[low]) return curve.values[low];
    const share = (time - times[low]) / (times[low + 1] - times[low]);
    return curve.values[low] + (curve.values[low + 1] - curve.values[low]) * share;
  }
  const curve = (name) => state.run.curves.find((one) => one.name === name);
  const part = (name) => state.run.parts.find((one) => one.name === name);
  const words = (name) => { const one = part(name); return one ? one.words[holding(one.course, state.time)] : ""; };
  const stroke = (name) => { const one = part(name); return one && one.stroke ? going(one.stroke, state.time) : 0; };
  const seconds = (time) => (time / 1e6).toFixed(3) + " s";
  const shown = (time) => time - state.run.from_us;

  // -- machine ------------------------------------------------------------------------------------------------------
  const machine = find("machine"), scene = data.scene, turned = new Map();
  function travelled(one) {  // metres moved up to each point of a speed curve, once
    if (!turned.has(one)) {
      const sums = [0];
      for (let at = 1; at < one.values.length; at += 1) {
        const passed = (one.times_us[at] - one.times_us[at - 1]) / 1e6;
        sums.push(sums[at - 1] + passed * (one.values[at] + one.values[at - 1]) / 2);
      }
      turned.set(one, { name: "", times_us: one.times_us, values: sums });
    }
    return along(turned.get(one), state.time);
  }
  function level() {
    const content = curve("content"), store = scene.store;
    if (content) return along(content, state.time) / store.capacity_m;
    const told = words(store.name), named = Object.fromEntries(store.levels);
    if (/full|filled|emptied/.test(told)) return named.emptied || named.filled;
    if (/^running/.test(told)) return named.running;
    return /drawn|refill/.test(told) ? named.reserve : (named.running + (named.filled || named.running)) / 2;
  }
  function drawMachine() {
    for (const group of machine.querySelectorAll("[data-part]")) drawPart(group);
    const guard = machine.querySelector("[data-guard]");
    if (guard) {
      const told = words(scene.guard), door = guard.querySelector("[data-door]");
      const open = /open/.test(told) ? -35 : 0;
      door.setAttribute("transform", "rotate(" + open + " " + scene.head[0] + " 46)");
      guard.querySelector("[data-bolt]").classList.toggle("in", /^locked|^unlocking|^forced/.test(told));
      guard.querySelector("[data-words]").textContent = told;
    }
    drawWeb();
  }
  function drawPart(group) {
    const name = group.dataset.part, x = Number(group.dataset.x), out = stroke(name);
    const slide = group.querySelector("[data-slide]"), suck = group.querySelector("[data-suck]");
    if (slide) slide.setAttribute("transform", "translate(0 " + (out * 43).toFixed(1) + ")");
    if (suck) suck.setAttribute("visibility", out > 0.5 ? "visible" : "hidden");
    const spin = group.querySelector("[data-spin]");
    if (spin) spin.setAttribute("transform", "rotate(" + (/turning|moving|leaving|arriving/.test(words(name)) ? 180 : 0) + " " + x + " 160)");
    const moved = curve(group.dataset.curve), spoken = group.querySelector("[data-speed]");
    if (spoken) spoken.textContent = moved ? (along(moved, state.time) * 60).toFixed(0) + " m/min" : words(name);
    for (const turn of group.querySelectorAll("[data-turn]")) {
      const sign = Number(turn.dataset.turn), y = group.dataset.shape === "roll" ? 265 : sign > 0 ? 180 : 220;
      const angle = moved ? (travelled(moved) * 80 * sign) % 360 : 0;
      turn.setAttribute("transform", "rotate(" + angle.toFixed(1) + " " + x + " " + y + ")");
    }
    const roll = group.querySelector("[data-roll]");
    if (roll) {
      const radius = rollRadius(name);
      roll.setAttribute("r", radius.toFixed(1));
      group.querySelector("[data-spoke]").setAttribute("y2", (265 - radius + 8).toFixed(1));
    }
  }
  function rollRadius(name) {
    const own = state.run.curves.find((one) => one.name.endsWith("_diameter") && one.name.startsWith(name)) ||
      state.run.curves.find((one) => one.name.endsWith("_diameter"));
    if (!own) return 60;
    const most = Math.max.apply(null, own.values.concat([scene.roll_m || 1]));
    return 18 + 52 * along(own, state.time) / most;
  }
  function drawWeb() {
    const y = scene.web_y, points = [];
    const rolls = scene.parts.filter((one) => one.shape === "roll"), store = scene.store;
    const first = rolls[0], isRewind = first && scene.head && first.x > scene.head[0];
    if (first && !isRewind) points.push([first.x, 265 - rollRadius(first.name)], [first.x + 85, y]);
    else points.push([10, y]);
    if (store) {
      const high = 270 - 200 * Math.max(0, Math.min(1.05, level())), pitch = (store.right - store.left) / store.strands;
      points.push([store.left, y], [store.left, 300]);
      for (let strand = 0; strand < store.strands; strand += 1) {
        const x = store.left + pitch * (strand + 0.5);
        points.push([x, strand % 2 ? 300 : high], [x + pitch / 2, strand % 2 ? 300 : high]);
      }
      points.push([store.right, 300], [store.right, y]);
      find("carriage").setAttribute("transform", "translate(0 " + high.toFixed(1) + ")");
      const content = curve("content");
      find("content-words").textContent = content ? along(content, state.time).toFixed(2) + " m stored" : words(store.name);
    }
    if (isRewind) points.push([first.x - 85, y], [first.x, 265 - rollRadius(first.name)]);
    else points.push([scene.width - 10, y]);
    const web = find("web"), broken = state.run.parts.some((one) => one.words[holding(one.course, state.time)] === "broken");
    web.setAttribute("points", points.map((one) => one[0].toFixed(1) + "," + one[1].toFixed(1)).join(" "));
    web.classList.toggle("broken", broken);
    find("web-words").textContent = broken ? "web broken" : "";
  }
  function drawWords() {
    for (const cell of find("states").querySelectorAll("dd")) {
      const told = words(cell.dataset.device);
      if (cell.textContent !== told) cell.textContent = told;
      cell.classList.toggle("failed", /failed/.test(told));
    }
  }

  // -- chart --------------------------------------------------------------------------------------------------------
  const board = find("chart-view");
  function showChart() {
    const drawing = document.querySelector('figure[data-chart="' + CSS.escape(which.value) + '"] svg');
    board.textContent = "";
    if (!drawing) return;
    const copy = drawing.cloneNode(true);
    copy.removeAttribute("id");
    for (const one of copy.querySelectorAll("[id]")) one.removeAttribute("id");
    board.appendChild(copy);
    markStep(true);
  }
  function markStep(always) {
    const chart = state.run.charts.find((one) => one.name === which.value);
    const name = chart ? chart.steps[holding(chart.course, state.time)] : "";
    if (!always && board.dataset.step === name) return;
    board.dataset.step = name;
    for (const old of board.querySelectorAll(".active")) old.classList.remove("active");
    const now = Array.prototype.find.call(board.querySelectorAll("[data-key]"), (one) => one.dataset.key === "step " + name);
    if (!now) return;
    now.classList.add("active");
    const box = now.getBoundingClientRect(), frame = board.getBoundingClientRect();
    board.scrollTop += box.top - frame.top - frame.height / 2 + box.height / 2;
    board.scrollLeft += box.left - frame.left - frame.width / 2 + box.width / 2;
  }

  // -- timing chart ---------------------------------------------------------------------------------------------------
  const ROW = 18, LEFT = 210, WIDTH = 1000, CURVE = 64;
  function make(parent, name, attributes, text) {
    const made = document.createElementNS(NS, name);
    for (const key in attributes) made.setAttribute(key, attributes[key]);
    if (text !== undefined) made.textContent = text;
    parent.appendChild(made);
    return made;
  }
  const across = (time) => LEFT + (time - state.view[0]) / (state.view[1] - state.view[0]) * (WIDTH - LEFT - 10);
  function window_() {
    const run = state.run, length = Number(zoom.value) * 1e6;
    if (!length || length >= run.end_us - run.from_us) return [run.from_us, run.end_us];
    let first = state.view[0];
    const inside = state.view[1] - state.view[0] === length && state.time >= first && state.time <= first + length;
    if (!inside) first = Math.min(Math.max(run.from_us, state.time - length / 3), run.end_us - length);
    return [first, first + length];
  }
  function drawTiming() {
    const svg = find("timing");
    state.view = window_();
    svg.textContent = "";
    let y = 20;
    for (const chart of state.run.charts) { bars(svg, chart.name, "step", chart.course, y, (value) => chart.steps[value]); y += ROW; }
    for (const signal of state.run.signals) { bars(svg, signal.name, signal.kind, signal.course, y, (value) => value ? "" : null); y += ROW; }
    for (const one of state.run.curves.filter((part) => /content|_speed$/.test(part.name) && part.name !== "carriage_speed")) {
      plot(svg, one, y);
      y += CURVE + 10;
    }
    axis(svg, y);
    make(svg, "line", { id: "cursor", class: "cursor", y1: 12, y2: y, x1: 0, x2: 0 });
    svg.setAttribute("viewBox", "0 0 " + WIDTH + " " + (y + 24));
    moveCursor();
  }
  function bars(svg, name, kind, course, y, text) {
    make(svg, "text", { x: LEFT - 8, y: y + 13, "text-anchor": "end", class: "row" }, name + (kind === "step" ? "" : " [" + kind.slice(0, 1) + "]"));
    make(svg, "line", { x1: LEFT, x2: WIDTH - 10, y1: y + ROW, y2: y + ROW, class: "grid" });
    course.forEach((entry, at) => {
      const until = at + 1 < course.length ? course[at + 1][0] : state.run.end_us, told = text(entry[1]);
      if (told === null || until < state.view[0] || entry[0] > state.view[1]) return;
      const left = across(Math.max(entry[0], state.view[0])), right = across(Math.min(until, state.view[1]));
      make(svg, "rect", { x: left.toFixed(1), width: Math.max(0.6, right - left).toFixed(1), y: y + 2, height: ROW - 4, class: "bar " + kind });
      if (told && (right - left) > told.length * 6.2 + 6) {
        make(svg, "text", { x: ((left + right) / 2).toFixed(1), y: y + 13, "text-anchor": "middle", class: "in-bar" }, told);
      }
    });
  }
  function plot(svg, one, y) {
    const most = Math.max.apply(null, one.values) || 1, least = Math.min(0, Math.min.apply(null, one.values));
    make(svg, "text", { x: LEFT - 8, y: y + CURVE / 2, "text-anchor": "end", class: "row" }, one.label);
    make(svg, "text", { x: LEFT - 8, y: y + CURVE / 2 + 14, "text-anchor": "end", class: "row" }, "0.." + most.toPrecision(3) + " " + one.unit);
    const points = [];
    const put = (time, value) => points.push(across(time).toFixed(1) + "," + (y + CURVE - (value - least) / (most - least) * (CURVE - 6)).toFixed(1));
    put(state.view[0], along(one, state.view[0]));
    one.times_us.forEach((time, at) => { if (time > state.view[0] && time < state.view[1]) put(time, one.values[at]); });
    put(state.view[1], along(one, state.view[1]));
    make(svg, "line", { x1: LEFT, x2: WIDTH - 10, y1: y + CURVE, y2: y + CURVE, class: "grid" });
    make(svg, "polyline", { points: points.join(" "), class: "curve" });
  }
  function axis(svg, y) {
    const length = (state.view[1] - state.view[0]) / 1e6;
    let step = Math.pow(10, Math.floor(Math.log10(length / 6)));
    for (const factor of [2, 5, 10]) if (length / step > 9) step = Math.pow(10, Math.floor(Math.log10(length / 6))) * factor;
    const start = shown(state.view[0]) / 1e6;
    for (let tick = Math.ceil(start / step - 1e-9) * step; tick <= start + length + 1e-9; tick += step) {
      const x = across(tick * 1e6 + state.run.from_us).toFixed(1);
      make(svg, "line", { x1: x, x2: x, y1: 16, y2: y, class: "grid" });
      make(svg, "text", { x: x, y: y + 16, "text-anchor": "middle", class: "row" }, Number(tick.toPrecision(6)) + " s");
    }
  }
  function moveCursor() {
    const wanted = window_();
    if (wanted[0] !== state.view[0] || wanted[1] !== state.view[1]) { drawTiming(); return; }
    const x = across(state.time).toFixed(1), cursor = find("cursor");
    cursor.setAttribute("x1", x);
    cursor.setAttribute("x2", x);
  }

  // -- events -------------------------------------------------------------------------------------------------------
  function listEvents() {
    const list = find("events");
    list.textContent = "";
    for (const event of state.run.events) {
      const item = document.createElement("li"), button = document.createElement("button");
      button.type = "button";
      const mark = event.mark === "failure" ? "FAILURE  " : event.mark === "act" ? "ACT  " : "";
      button.textContent = seconds(shown(event.time_us)) + "  " + mark + event.text.replace(/^FAILURE:? /, "");
      button.addEventListener("click", () => { stop(); go(event.time_us); });
      item.appendChild(button);
      list.appendChild(item);
    }
  }
  function markEvent() {
    const items = find("events").children, events = state.run.events;
    let last = -1;
    events.forEach((event, at) => { if (event.time_us <= state.time) last = at; });
    for (let at = 0; at < items.length; at += 1) {
      if (at === last) items[at].firstChild.setAttribute("aria-current", "step");
      else items[at].firstChild.removeAttribute("aria-current");
    }
    if (last >= 0) {
      const list = find("events"), item = items[last];
      if (item.offsetTop < list.scrollTop || item.offsetTop + item.offsetHeight > list.scrollTop + list.clientHeight) {
        list.scrollTop = item.offsetTop - list.clientHeight / 2;
      }
    }
    return last;
  }

  // -- clock --------------------------------------------------------------------------------------------------------
  function go(time) {
    state.time = Math.min(Math.max(time, state.run.from_us), state.run.end_us);
    slider.value = String(state.time);
    const text = seconds(shown(state.time));
    slider.setAttribute("aria-valuetext", text);
    find("now").textContent = text;
    drawMachine();
    drawWords();
    markStep(false);
    moveCursor();
    const last = markEvent();
    if (!state.playing) find("said").textContent = last >= 0 ? text + ": " + state.run.events[last].text : text;
  }
  function marks() {
    const found = new Set([state.run.from_us, state.run.end_us]);
    for (const chart of state.run.charts) for (const entry of chart.course) found.add(entry[0]);
    for (const signal of state.run.signals) for (const entry of signal.course) found.add(entry[0]);
    for (const event of state.run.events) found.add(event.time_us);
    return Array.from(found).filter((time) => time >= state.run.from_us && time <= state.run.end_us).sort((a, b) => a - b);
  }
  function step(direction) {
    stop();
    const next = direction > 0 ? state.marks.find((time) => time > state.time)
      : state.marks.slice().reverse().find((time) => time < state.time);
    if (next !== undefined) go(next);
  }
  function stop() { state.playing = false; find("play").textContent = "Play"; }
  function play() {
    if (state.playing) { stop(); go(state.time); return; }
    if (state.time >= state.run.end_us) go(state.run.from_us);
    state.playing = true;
    state.before = performance.now();
    find("play").textContent = "Pause";
    requestAnimationFrame(tick);
  }
  function tick(now) {
    if (!state.playing) return;
    const passed = Math.max(0, now - state.before) * 1000 * Number(speed.value);
    state.before = now;
    go(state.time + passed);
    if (state.time >= state.run.end_us) { stop(); go(state.time); return; }
    requestAnimationFrame(tick);
  }
  function choose(key) {
    stop();
    state.run = data.replays.find((one) => one.key === key) || data.replays[0];
    chosen.value = state.run.key;
    slider.min = String(state.run.from_us);
    slider.max = String(state.run.end_us);
    slider.step = String(state.run.end_us - state.run.from_us > 4e6 ? 10000 : 1000);
    find("note").textContent = state.run.note;
    state.marks = marks();
    state.time = state.run.from_us;
    state.view = [state.run.from_us, state.run.end_us];
    listEvents();
    showChart();
    drawTiming();
    go(state.run.from_us);
  }

  for (const one of data.replays) chosen.add(new Option(one.title, one.key));
  for (const chart of data.replays[0].charts) which.add(new Option(chart.name, chart.name));
  which.value = data.main_chart;
  chosen.addEventListener("change", () => choose(chosen.value));
  which.addEventListener("change", showChart);
  zoom.addEventListener("change", () => { drawTiming(); });
  slider.addEventListener("input", () => { stop(); go(Number(slider.value)); });
  find("play").addEventListener("click", play);
  find("back").addEventListener("click", () => step(-1));
  find("forth").addEventListener("click", () => step(1));
  find("timing").addEventListener("click", (event) => {
    const box = find("timing").getBoundingClientRect(), x = (event.clientX - box.left) / box.width * WIDTH;
    if (x >= LEFT) { stop(); go(state.view[0] + (x - LEFT) / (WIDTH - LEFT - 10) * (state.view[1] - state.view[0])); }
  });
  for (const button of document.querySelectorAll("[data-play]")) {
    button.hidden = false;
    button.addEventListener("click", () => { choose(button.dataset.play); find("replay").scrollIntoView(); find("play").focus(); });
  }
  choose(data.replays[0].key);
})();
