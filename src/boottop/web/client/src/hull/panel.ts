/** Everything around the hull: slider, buttons, legend, table, flat map. It works with and without the turning hull. */

import {
  type Facts,
  type Mode,
  type Picture,
  type Time,
  changesOf,
  factsAt,
  filmWords,
  lookOf,
  marginWords,
  surfaceWords,
  tagOf,
  timeWords,
  underWay,
} from "./picture";

/** What the panel asks of a hull that turns; nothing where there is none. */
export interface Stage {
  paint(looks: string[]): void;
  look(view: string): void;
  seen(anchor: number[]): [number, number] | null;
}

const RUN_MS = 90;
const RUN_S = 1800;

export class Panel {
  private mode: Mode = "state";
  private at_s: number;
  private stage: Stage | null = null;
  private running = 0;
  private readonly slider: HTMLInputElement;

  constructor(
    private readonly root: HTMLElement,
    private readonly picture: Picture,
  ) {
    this.slider = this.one<HTMLInputElement>("#hull-time");
    this.at_s = picture.now_s;
    this.flat();
    this.clock();
    for (const button of root.querySelectorAll<HTMLElement>("[data-mode]"))
      button.addEventListener("click", () => this.colourBy(button.dataset["mode"] as Mode));
    for (const button of root.querySelectorAll<HTMLElement>("[data-view]"))
      button.addEventListener("click", () => this.stage?.look(button.dataset["view"] as string));
    this.show(".by");
    this.draw();
  }

  /** A hull that turns has come. */
  join(stage: Stage): void {
    this.stage = stage;
    for (const button of this.root.querySelectorAll("[data-view]")) this.open(button.parentElement);
    this.draw();
  }

  /** The look of every zone, in their order. */
  looks(): string[] {
    return this.picture.zones.map((zone) => lookOf(this.picture, zone, this.facts(zone), this.mode));
  }

  private facts(zone: Picture["zones"][number]): Facts {
    return factsAt(this.picture, zone, this.at_s);
  }

  private one<T extends Element>(selector: string): T {
    return this.root.querySelector(selector) as T;
  }

  private open(element: Element | null): void {
    element?.removeAttribute("hidden");
  }

  private show(selector: string): void {
    this.open(this.root.querySelector(selector));
  }

  private flat(): void {
    const place = document.querySelector(".flatview");
    if (place) place.innerHTML = this.picture.flat;
    const kits = document.querySelector(".kits");
    if (kits) kits.innerHTML = this.picture.kits;
  }

  private clock(): void {
    const { time } = this.picture;
    if (!time) return;
    const { slider } = this;
    slider.min = String(time.from_s);
    slider.max = String(time.to_s);
    slider.step = String(time.slot_s);
    this.go(this.at_s);
    slider.addEventListener("input", () => {
      this.stop();
      this.go(Number(slider.value));
    });
    for (const button of this.root.querySelectorAll<HTMLElement>("[data-go]"))
      button.addEventListener("click", () => this.press(button.dataset["go"] as string));
    this.one(".days").replaceChildren(this.days(time));
    this.show(".when");
  }

  /** A strip under the slider: midnights as long strokes, every change of a zone as a short one, and now. */
  private days(time: Time): SVGElement {
    const svg = drawn("svg", { viewBox: "0 0 1000 14", preserveAspectRatio: "none" });
    const at = (when_s: number): string => ((1000 * (when_s - time.from_s)) / (time.to_s - time.from_s)).toFixed(1);
    const stroke = (when_s: number, kind: string, to: number): void => {
      if (when_s < time.from_s || when_s > time.to_s) return;
      svg.append(drawn("line", { class: kind, x1: at(when_s), x2: at(when_s), y1: "0", y2: String(to) }));
    };
    for (const when_s of time.midnights_s) stroke(when_s, "midnight", 14);
    for (const when_s of changesOf(this.picture)) stroke(when_s, "change", 7);
    stroke(this.picture.now_s, "now", 14);
    return svg;
  }

  private press(what: string): void {
    const was = this.running;
    this.stop();
    const changes = changesOf(this.picture);
    if (what === "play") {
      if (!was) this.run();
    } else if (what === "now") this.go(this.picture.now_s);
    else if (what === "later") this.go(changes.find((at_s) => at_s > this.at_s) ?? Number(this.slider.max));
    else this.go(changes.findLast((at_s) => at_s < this.at_s) ?? Number(this.slider.min));
  }

  private run(): void {
    if (this.at_s >= Number(this.slider.max)) this.go(Number(this.slider.min));
    this.pressed(true);
    this.running = window.setInterval(() => {
      this.go(this.at_s + RUN_S);
      if (this.at_s >= Number(this.slider.max)) this.stop();
    }, RUN_MS);
  }

  private stop(): void {
    clearInterval(this.running);
    this.running = 0;
    this.pressed(false);
  }

  private pressed(on: boolean): void {
    const button = this.one<HTMLElement>('[data-go="play"]');
    button.setAttribute("aria-pressed", String(on));
    button.textContent = on ? "Stop" : "Run";
  }

  private go(at_s: number): void {
    const { min, max } = this.slider;
    this.at_s = Math.min(Math.max(at_s, Number(min)), Number(max));
    this.slider.value = String(this.at_s);
    this.draw();
  }

  private colourBy(mode: Mode): void {
    this.mode = mode;
    for (const button of this.root.querySelectorAll<HTMLElement>("[data-mode]"))
      button.setAttribute("aria-pressed", String(button.dataset["mode"] === mode));
    this.draw();
  }

  private draw(): void {
    const looks = this.looks();
    this.stage?.paint(looks);
    this.picture.zones.forEach((zone, number) => {
      const fill = `url(#h-${looks[number] as string})`;
      for (const path of document.querySelectorAll<SVGElement>(".flatview [data-zone]"))
        if (path.dataset["zone"] === zone.name) path.setAttribute("fill", fill);
    });
    this.words();
    this.legend(looks);
    this.rows();
    this.tags();
  }

  private words(): void {
    const said = underWay(this.picture, this.at_s);
    const status = this.one<HTMLElement>('[data-test="said"]');
    if (!this.running && status.textContent !== said) status.textContent = said;
    if (!this.picture.time) return;
    const time = timeWords(this.picture, this.at_s);
    this.one("output").textContent = time;
    this.slider.setAttribute("aria-valuetext", time);
  }

  private legend(looks: string[]): void {
    const keys = this.mode === "state" ? this.picture.states.filter((key) => looks.includes(key)) : this.picture.scales[this.mode]?.keys;
    const list = this.one<HTMLElement>(".looks");
    list.replaceChildren(...(keys ?? []).map((key) => this.sample(key, looks.includes(key))));
  }

  private sample(key: string, used: boolean): HTMLLIElement {
    const item = document.createElement("li");
    const svg = drawn("svg", { width: "44", height: "26", "aria-hidden": "true" });
    svg.append(drawn("rect", { width: "44", height: "26", fill: `url(#h-${key})` }));
    const words = document.createElement(used && this.mode !== "state" ? "b" : "span");
    words.textContent = this.picture.looks[key]?.words ?? key;
    item.append(svg, words);
    return item;
  }

  private rows(): void {
    for (const zone of this.picture.zones) {
      const row = [...this.root.querySelectorAll<HTMLTableRowElement>("[data-row]")].find((one) => one.dataset["row"] === zone.name);
      if (!row) continue;
      const facts = this.facts(zone);
      const coated = zone.coats_due > 0;
      const cells = [
        this.picture.looks[facts.state]?.words ?? "",
        coated ? `${facts.coats} of ${zone.coats_due}` : "",
        coated ? surfaceWords(this.picture, facts.surface_c) : "",
        coated ? marginWords(this.picture, facts.margin_k) : "",
        coated ? filmWords(this.picture, facts.dry_um) : "",
      ];
      cells.forEach((text, number) => {
        const cell = row.cells[number + 2];
        if (cell) cell.textContent = text;
      });
    }
  }

  /** Names and numbers over the hull, where their zones look towards the eye and do not lie on each other. */
  tags(): void {
    const place = this.root.querySelector<HTMLElement>(".tags");
    if (!place || !this.stage) return;
    const taken: [number, number, number][] = [];
    const made: HTMLElement[] = [];
    for (const zone of this.picture.zones) {
      const text = tagOf(this.picture, zone, this.facts(zone), this.mode);
      if (!text) continue;
      for (const anchor of zone.anchors) {
        const seen = this.stage.seen(anchor);
        if (!seen) continue;
        const wide = 7.6 * Math.max(zone.name.length, text.length) + 16;
        const x = Math.min(Math.max(seen[0] - wide / 2, 4), Math.max(place.clientWidth - wide - 4, 4));
        const y = Math.min(Math.max(seen[1] - 22, 4), place.clientHeight - 48);
        if (taken.some(([left, top, width]) => x < left + width && left < x + wide && Math.abs(y - top) < 46)) continue;
        taken.push([x, y, wide]);
        made.push(tag(zone.name, text, x, y));
      }
    }
    place.replaceChildren(...made);
  }
}

function drawn(what: string, attributes: { [name: string]: string }): SVGElement {
  const made = document.createElementNS("http://www.w3.org/2000/svg", what);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  return made;
}

function tag(name: string, text: string, x: number, y: number): HTMLElement {
  const span = document.createElement("span");
  const head = document.createElement("b");
  head.textContent = name;
  span.append(head, text);
  span.style.transform = `translate(${x.toFixed(0)}px, ${y.toFixed(0)}px)`;
  return span;
}
