import { defineConfig } from "vitest/config";

// Names without a hash: the page asks for `board.js?v=<hash of the file>`, so that one place decides on the hash.
export default defineConfig({
  base: "./",
  publicDir: false,
  build: {
    outDir: "../static/board",
    emptyOutDir: true,
    target: "es2022",
    cssTarget: "chrome111",
    modulePreload: false,
    cssCodeSplit: false,
    reportCompressedSize: false,
    rollupOptions: {
      input: { board: "src/main.tsx", sw: "src/sw.ts" },
      output: { entryFileNames: "[name].js", assetFileNames: "board[extname]" },
    },
  },
  test: { include: ["tests/**/*.test.ts"], environment: "node" },
});
