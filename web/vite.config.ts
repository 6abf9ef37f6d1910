import { defineConfig } from "vite";

export default defineConfig({
  // Relative addresses: the same folder works at the root of a host and below any path.
  base: "./",
  build: {
    outDir: "../posekit/page",
    emptyOutDir: true,
    target: "es2022",
    // The bundle names only files of its own; nothing may be inlined as data: under the page's security policy.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    rollupOptions: { output: { manualChunks: (id) => (id.includes("node_modules/three") ? "three" : undefined) } },
  },
  worker: { format: "es" },
});
