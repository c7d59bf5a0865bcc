/** Starts the board in the page that carries it. */

import { render } from "preact";
import { type Boot, BoardStore } from "./core/board";
import { readySound } from "./core/warn";
import "./board.css";
import { App } from "./view/App";

const root = document.getElementById("board");
if (root) {
  const store = new BoardStore(JSON.parse(root.dataset["boot"] ?? "{}") as Boot);
  for (const touch of ["pointerdown", "click"]) document.addEventListener(touch, readySound); // an iPhone counts the click
  root.textContent = "";
  render(<App store={store} />, root);
  void store.start();
  // An extra layer where there is one: over plain http no browser offers it, and nothing here needs it.
  if ("serviceWorker" in navigator && isSecureContext) {
    const worker = import.meta.url.replace(/board[.]js.*$/, "sw.js");
    navigator.serviceWorker.register(worker, { scope: "/jobs/" }).catch(() => undefined);
  }
}
