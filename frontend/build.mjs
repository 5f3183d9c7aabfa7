// Bundle scripts, style and fonts under names that hang on their content, then the
// service worker, which knows them all: the same sources give the same bytes.
import { mkdirSync, writeFileSync } from "node:fs";
import * as esbuild from "esbuild";

const outdir = "../src/arbuscula/web/static";
const common = { bundle: true, minify: true, target: ["es2022"], logLevel: "warning" };

mkdirSync(outdir, { recursive: true });
const built = await esbuild.build({
  ...common,
  entryPoints: ["src/app.ts", "src/round.ts", "src/tree.ts", "src/app.css"],
  entryNames: "[name]-[hash]",
  assetNames: "[name]-[hash]",
  publicPath: "/static", // the style stands in the page, which has another path
  loader: { ".woff2": "file" },
  format: "esm",
  metafile: true,
  outdir,
});

const names = {};
const files = [];
for (const [path, made] of Object.entries(built.metafile.outputs)) {
  const file = path.split("/").at(-1);
  if (!file.endsWith(".css")) files.push(file);
  if (made.entryPoint) names[made.entryPoint.replace("src/", "")] = file;
}
files.sort();
writeFileSync(`${outdir}/names.json`, JSON.stringify(names));

await esbuild.build({
  ...common,
  entryPoints: ["src/sw.ts"],
  outfile: `${outdir}/sw.js`,
  format: "iife",
  define: { FILES: JSON.stringify(files) },
});
