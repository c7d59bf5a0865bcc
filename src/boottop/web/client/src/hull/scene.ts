/** The turning hull. Our frame (x aft, y to starboard, z up) becomes that of glTF: X to port, Y up, Z forward. */

import {
  Box3,
  BufferAttribute,
  BufferGeometry,
  CanvasTexture,
  Color,
  DirectionalLight,
  DoubleSide,
  HemisphereLight,
  LineBasicMaterial,
  LineSegments,
  Mesh,
  MeshLambertMaterial,
  PerspectiveCamera,
  RepeatWrapping,
  SRGBColorSpace,
  Scene,
  Vector3,
  WebGLRenderer,
} from "three";
import { OrbitControls } from "three/addons/controls/OrbitControls.js";
import { type Edges, edgesOf, topsidesOf } from "./edges";
import type { Picture } from "./picture";

const TILE_PX = 128;
const TILE_M = 0.42;
const VIEWS: { [name: string]: [number, number, number] } = {
  port: [1, -0.12, 0.12],
  starboard: [-1, -0.12, 0.12],
  bow: [0.62, -0.3, 0.9],
  stern: [-0.62, -0.3, -0.9],
  below: [0.03, -1, 0],
};

export class Turning {
  private readonly renderer: WebGLRenderer;
  private readonly scene = new Scene();
  private readonly camera = new PerspectiveCamera(32, 1, 0.1, 500);
  private readonly controls: OrbitControls;
  private readonly materials: MeshLambertMaterial[] = [];
  private readonly lines: LineBasicMaterial[] = [];
  private readonly ghost = new MeshLambertMaterial({ side: DoubleSide });
  private readonly textures = new Map<string, CanvasTexture>();
  private readonly middle = new Vector3();
  private readonly outlines: Float32Array[] = [];
  private readonly still = matchMedia("(prefers-reduced-motion: reduce)");
  private waiting = false;
  private flight = 0;
  /** Called after every frame, so that what is written over the hull can follow. */
  onFrame: () => void = () => undefined;

  /** Throws where the browser has no WebGL. */
  constructor(
    private readonly canvas: HTMLCanvasElement,
    private readonly picture: Picture,
  ) {
    this.renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true });
    this.renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.enableDamping = !this.still.matches;
    this.controls.addEventListener("change", () => this.draw());
    this.controls.addEventListener("start", () => cancelAnimationFrame(this.flight));
    canvas.addEventListener("keydown", (event) => this.key(event));
    canvas.addEventListener("webglcontextrestored", () => this.draw()); // a phone takes it away in the background
    this.build();
    this.light();
    new ResizeObserver(() => this.fit()).observe(canvas.parentElement as HTMLElement);
    this.fit();
    this.look("bow", true);
  }

  private build(): void {
    const { shape, zones } = this.picture;
    const geometry = new BufferGeometry();
    const count = shape.xyz_mm.length / 3;
    const points = new Float32Array(3 * count);
    const flat = new Float32Array(2 * count);
    for (let i = 0; i < count; i++) {
      points[3 * i] = -(shape.xyz_mm[3 * i + 1] as number) / 1000;
      points[3 * i + 1] = (shape.xyz_mm[3 * i + 2] as number) / 1000;
      points[3 * i + 2] = -(shape.xyz_mm[3 * i] as number) / 1000;
      flat[2 * i] = (shape.flat_mm[2 * i] as number) / 1000 / TILE_M;
      flat[2 * i + 1] = (shape.flat_mm[2 * i + 1] as number) / 1000 / TILE_M;
    }
    geometry.setAttribute("position", new BufferAttribute(points, 3));
    geometry.setAttribute("uv", new BufferAttribute(flat, 2));
    geometry.setIndex(shape.facets);
    geometry.computeVertexNormals();
    let start = 0;
    zones.forEach((zone, number) => {
      const facets = shape.zones[zone.name] ?? 0;
      geometry.addGroup(3 * start, 3 * facets, number);
      start += facets;
      this.materials.push(new MeshLambertMaterial({ side: DoubleSide }));
    });
    this.scene.add(new Mesh(geometry, this.materials));
    this.frame(geometry, edgesOf(shape, points));
  }

  /** Lines between zones and along the waterline, and a hint of the topsides so that a boat is seen and not a bowl. */
  private frame(geometry: BufferGeometry, edges: Edges): void {
    for (const places of [edges.between, edges.waterline]) {
      const line = new BufferGeometry();
      line.setAttribute("position", new BufferAttribute(places, 3));
      const material = new LineBasicMaterial();
      this.lines.push(material);
      this.scene.add(new LineSegments(line, material));
    }
    const sides = new BufferGeometry();
    sides.setAttribute("position", new BufferAttribute(topsidesOf(edges.waterline), 3));
    sides.computeVertexNormals();
    this.scene.add(new Mesh(sides, this.ghost));
    const box = new Box3();
    for (const one of [geometry, sides]) {
      const places = one.getAttribute("position").array as Float32Array;
      box.union(new Box3().setFromArray(places));
      this.outlines.push(places);
    }
    box.getCenter(this.middle);
  }

  private light(): void {
    this.scene.add(new HemisphereLight(0xffffff, 0xe8e2d2, 2.1));
    const lamp = new DirectionalLight(0xffffff, 1.5);
    lamp.position.set(0.6, 0.9, 1);
    this.camera.add(lamp);
    this.scene.add(this.camera);
  }

  /** Takes the colours anew from the page, whose light may have changed. */
  repaint(looks: string[]): void {
    for (const texture of this.textures.values()) texture.dispose();
    this.textures.clear();
    const ink = colourOf("--p-line");
    for (const line of this.lines) line.color = new Color(ink);
    this.ghost.color = new Color(colourOf("--p-topsides"));
    this.paint(looks);
  }

  /** Gives every zone, in their order, its look. */
  paint(looks: string[]): void {
    looks.forEach((key, number) => {
      const material = this.materials[number];
      if (!material) return;
      const texture = this.texture(key);
      if (material.map !== texture) {
        material.map = texture;
        material.needsUpdate = true;
      }
    });
    this.draw();
  }

  private texture(key: string): CanvasTexture {
    const known = this.textures.get(key);
    if (known) return known;
    const tile = this.picture.patterns["tile"] as number;
    const board = document.createElement("canvas");
    board.width = board.height = TILE_PX;
    const pen = board.getContext("2d") as CanvasRenderingContext2D;
    const { ground, ink } = paintsOf(key);
    pen.fillStyle = ground;
    pen.fillRect(0, 0, TILE_PX, TILE_PX);
    pen.scale(TILE_PX / (2 * tile), TILE_PX / (2 * tile));
    pen.strokeStyle = ink;
    pen.lineWidth = 1.5;
    const hatch = new Path2D(String(this.picture.patterns[this.picture.looks[key]?.pattern ?? "plain"] ?? ""));
    for (const [x, y] of [[0, 0], [tile, 0], [0, tile], [tile, tile]] as const) {
      pen.save();
      pen.translate(x, y);
      pen.beginPath();
      pen.rect(0, 0, tile, tile);
      pen.clip();
      pen.stroke(hatch);
      pen.restore();
    }
    const made = new CanvasTexture(board);
    made.wrapS = made.wrapT = RepeatWrapping;
    made.colorSpace = SRGBColorSpace;
    made.anisotropy = Math.min(8, this.renderer.capabilities.getMaxAnisotropy());
    this.textures.set(key, made);
    return made;
  }

  /** Turns to one of the views, or comes nearer or goes farther; at once where the person wants no motion. */
  look(view: string, at_once = false): void {
    cancelAnimationFrame(this.flight);
    const from = this.camera.position.clone();
    const to = new Vector3();
    const way = VIEWS[view];
    if (way) {
      to.set(...way).normalize();
      to.multiplyScalar(this.distance(to.clone())).add(this.middle);
      this.controls.target.copy(this.middle);
    } else {
      const factor = view === "nearer" ? 0.8 : 1.25;
      to.copy(from).sub(this.controls.target).multiplyScalar(factor).add(this.controls.target);
    }
    if (at_once || this.still.matches) return this.arrive(to);
    const begun = performance.now();
    const step = (now: number): void => {
      const part = Math.min((now - begun) / 350, 1);
      const eased = part * part * (3 - 2 * part);
      const between = from.clone().lerp(to, eased);
      const length = from.distanceTo(this.middle) * (1 - eased) + to.distanceTo(this.middle) * eased;
      between.sub(this.middle).setLength(Math.max(length, 0.1)).add(this.middle);
      this.arrive(between);
      if (part < 1) this.flight = requestAnimationFrame(step);
    };
    this.flight = requestAnimationFrame(step);
  }

  private arrive(place: Vector3): void {
    this.camera.position.copy(place);
    this.controls.update();
    this.draw();
  }

  /** How far from her middle all of her is in the picture, seen along a way (of length 1). */
  private distance(way: Vector3): number {
    const right = new Vector3(0, 1, 0).cross(way).normalize();
    const up = way.clone().cross(right);
    const half = Math.tan((this.camera.fov * Math.PI) / 360);
    const corner = new Vector3();
    let needed = 0;
    for (const outline of this.outlines)
      for (let k = 0; k + 2 < outline.length; k += 3) {
        corner.fromArray(outline, k).sub(this.middle);
        const wide = Math.abs(corner.dot(right)) / (half * this.camera.aspect);
        const high = Math.abs(corner.dot(up)) / half;
        needed = Math.max(needed, corner.dot(way) + Math.max(wide, high));
      }
    return 1.05 * needed;
  }

  private key(event: KeyboardEvent): void {
    const turns: { [key: string]: [number, number] } = {
      ArrowLeft: [-0.12, 0],
      ArrowRight: [0.12, 0],
      ArrowUp: [0, -0.1],
      ArrowDown: [0, 0.1],
    };
    const turn = turns[event.key];
    if (turn) {
      const away = this.camera.position.clone().sub(this.controls.target);
      const length = away.length();
      const round = Math.atan2(away.x, away.z) + turn[0];
      const high = Math.min(Math.max(Math.acos(away.y / length) + turn[1], 0.05), Math.PI - 0.05);
      away.set(Math.sin(high) * Math.sin(round), Math.cos(high), Math.sin(high) * Math.cos(round)).multiplyScalar(length);
      this.arrive(away.add(this.controls.target));
    } else if (event.key === "+" || event.key === "=") this.look("nearer");
    else if (event.key === "-") this.look("farther");
    else return;
    event.preventDefault();
  }

  private fit(): void {
    const box = this.canvas.parentElement as HTMLElement;
    const wide = Math.max(box.clientWidth, 1);
    const high = Math.max(box.clientHeight, 1);
    this.camera.aspect = wide / high;
    this.camera.updateProjectionMatrix();
    this.renderer.setSize(wide, high, false);
    this.draw();
  }

  /** Where a point of the hull (ours) is seen, in pixels of the stage; null when it looks away from the eye. */
  seen(anchor: number[]): [x: number, y: number] | null {
    const [x, y, z, a, b, c] = anchor as [number, number, number, number, number, number];
    const point = new Vector3(-y, z, -x);
    const away = this.camera.position.clone().sub(point);
    if (away.dot(new Vector3(-b, c, -a)) < 0.12 * away.length()) return null;
    point.project(this.camera);
    if (Math.abs(point.x) > 1 || Math.abs(point.y) > 1) return null;
    const box = this.canvas.parentElement as HTMLElement;
    return [((point.x + 1) / 2) * box.clientWidth, ((1 - point.y) / 2) * box.clientHeight];
  }

  /** Draws once, however often it is asked before the next frame. */
  draw(): void {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => {
      this.waiting = false;
      this.controls.update();
      this.renderer.render(this.scene, this.camera);
      this.onFrame();
    });
  }
}

const colourOf = (name: string): string => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

/** Ground and ink of a look, as the style sheet has them. */
function paintsOf(key: string): { ground: string; ink: string } {
  const tile = document.getElementById(`h-${key}`);
  const [rect, path] = [tile?.querySelector("rect"), tile?.querySelector("path")];
  return { ground: rect ? getComputedStyle(rect).fill : "#888888", ink: path ? getComputedStyle(path).stroke : "#222222" };
}
