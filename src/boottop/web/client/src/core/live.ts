/** The server's stream of news: open while the page is seen, closed while it is not.
 *
 * A browser has six connections to one server over plain http: a stream in every hidden tab would leave none.
 */

export interface Heard {
  onLog(seq: number): void;
  onBoard(version: string, state: string): void;
  onUp(up: boolean): void;
  onEnded(): void;
}

const AGAIN_MS = 4000;

export class Live {
  private source: EventSource | null = null;
  private timer: ReturnType<typeof setTimeout> | undefined;

  constructor(
    private readonly open: () => EventSource,
    private readonly heard: Heard,
  ) {}

  start(): void {
    document.addEventListener("visibilitychange", () => this.look());
    addEventListener("pagehide", () => this.shut());
    addEventListener("pageshow", () => this.look());
    this.look();
  }

  /** Opens the stream where it should be and is not. */
  look(): void {
    if (document.hidden) this.shut();
    else if (!this.source) this.connect();
  }

  private shut(): void {
    clearTimeout(this.timer);
    this.source?.close();
    this.source = null;
  }

  private connect(): void {
    clearTimeout(this.timer);
    const source = this.open();
    this.source = source;
    source.addEventListener("open", () => this.heard.onUp(true));
    source.addEventListener("log", (said) => this.heard.onLog((read(said) as { seq: number }).seq));
    source.addEventListener("board", (said) => {
      const { version, state } = read(said) as { version: string; state: string };
      this.heard.onBoard(version, state);
    });
    source.addEventListener("ended", () => {
      this.shut();
      this.heard.onEnded();
    });
    source.addEventListener("error", () => {
      this.heard.onUp(false);
      this.shut();
      this.timer = setTimeout(() => this.look(), AGAIN_MS);
    });
  }
}

const read = (said: MessageEvent<string>): unknown => JSON.parse(said.data);
