/** The sheet that comes up from the bottom, in reach of the thumb. */

import type { ComponentChildren } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { useScreen } from "./context";

export function BottomSheet({ title, children }: { title: string; children: ComponentChildren }) {
  const { close } = useScreen();
  const dialog = useRef<HTMLDialogElement>(null);
  useEffect(() => {
    const opener = document.activeElement;
    dialog.current?.showModal();
    return () => {
      if (opener instanceof HTMLElement && opener.isConnected) opener.focus({ preventScroll: true });
    };
  }, []);
  return (
    <dialog
      ref={dialog}
      class="slip"
      aria-labelledby="sheet-title"
      onCancel={(said) => {
        said.preventDefault();
        close();
      }}
      onClick={(tap) => {
        if (tap.target === dialog.current) close();
      }}
    >
      <div class="inner">
        <div class="sheethead">
          <h2 id="sheet-title">{title}</h2>
          <button type="button" class="shut" onClick={close}>
            Close
          </button>
        </div>
        {children}
      </div>
    </dialog>
  );
}
