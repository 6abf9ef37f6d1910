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
    chunkSizeWarningLimit: 700, // three, on its own, at 650 kB
    modulePreload: { polyfill: false },
    rollupOptions: {
      input: { index: "index.html", "service-worker": "src/work/service-worker.ts" },
      output: {
        // A service worker is found again by its address, so its name stays.
        entryFileNames: ({ name }) => (name === "service-worker" ? "[name].js" : "assets/[name]-[hash].js"),
        manualChunks: (id) => (id.includes("node_modules/three") ? "three" : undefined),
      },
    },
  },
  worker: { format: "es" },
});
