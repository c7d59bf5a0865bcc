import { defineConfig } from "vite";

// The turning hull is a file of its own, loaded on its page alone: the board must not wait for a library it has no use for.
export default defineConfig({
  base: "./",
  publicDir: false,
  build: {
    outDir: "../static/hull",
    emptyOutDir: true,
    target: "es2022",
    modulePreload: false,
    reportCompressedSize: false,
    chunkSizeWarningLimit: 700,
    rollupOptions: { input: { hull: "src/hull/main.ts" }, output: { entryFileNames: "[name].js" } },
  },
});
