import { defineConfig } from "vite";

// What draws the director's one file: one script and one style sheet that the file carries, with nothing beside them.
export default defineConfig({
  publicDir: false,
  build: {
    outDir: "../posekit/page/director",
    emptyOutDir: true,
    target: "es2022",
    cssCodeSplit: false,
    chunkSizeWarningLimit: 700,
    rollupOptions: {
      input: "src/director/main.tsx",
      output: { format: "iife", entryFileNames: "figure.js", assetFileNames: "figure[extname]" },
    },
  },
});
