"""How printed documents look: on A4 and Letter, on paper and on a phone. Black on white; nothing is said by colour."""

from __future__ import annotations

STYLE = """
* { box-sizing: border-box }
:host { all: initial; display: block }
:root, :host { color-scheme: light }
body, :host { margin: 0; background: #fff; color: #111 }
body, :host { font: 10pt/1.35 system-ui, "Liberation Sans", Arial, sans-serif; font-variant-ligatures: none }
main { max-width: 190mm; margin: 0 auto; padding: 12px }
h1 { margin: 0 0 6px; font-size: 17pt; line-height: 1.15; overflow-wrap: anywhere }
h2 { margin: 0 0 4px; font-size: 11.5pt; line-height: 1.2; overflow-wrap: anywhere; break-after: avoid }
section { margin: 16px 0 0 }
p, ul, dl { margin: 0 0 6px }
ul { padding-left: 18px }
li, p, dd { overflow-wrap: anywhere }
li { break-inside: avoid }
dt { color: #444; font-size: 8.5pt }
dd { margin: 0; font-weight: 600; font-variant-numeric: tabular-nums }
.facts, .figures { display: flex; flex-wrap: wrap; gap: 4px 20px }
.wide { overflow-x: auto }
.wide:focus-visible { outline: 2px solid #111; outline-offset: 2px }
table { border-collapse: collapse; width: 100%; font-size: 8.5pt; font-variant-numeric: tabular-nums }
thead { display: table-header-group }
tr { break-inside: avoid }
th, td { border: 0.3mm solid #888; padding: 2px 4px; text-align: left; vertical-align: top }
thead th { background: #eee; vertical-align: bottom; font-weight: 600; line-height: 1.15 }
tbody th { font-weight: 600; overflow-wrap: anywhere; min-width: 25mm }
td.text { overflow-wrap: anywhere }
td.text div { min-width: 10mm }
th.number, td.number { text-align: right }
td.number div { white-space: nowrap }
th.write, td.write { min-width: 14mm }
th.tick, td.tick { text-align: center; width: 9mm }
td.tick { font-size: 13pt; line-height: 1 }
.line { min-width: 12mm; height: 6.5mm; border-bottom: 0.3mm solid #555 }
td.write .line { border: 0 }
dd.line { width: 42mm }
.whole { break-inside: avoid }
.note { break-before: avoid; break-inside: avoid }
.note, .foot { font-size: 8.5pt; color: #333; margin-top: 4px }
.card { break-inside: avoid; border: 0.3mm solid #888; border-radius: 2mm; padding: 3mm 4mm }
.pictures { display: flex; flex-wrap: wrap; gap: 3mm }
figure { margin: 0; flex: 1 1 44mm; max-width: 58mm; text-align: center }
.pictures:has(image) { justify-content: space-between }
figure:has(image) { flex-basis: 40mm; max-width: 47mm }
figure svg { display: block; width: 100%; height: auto }
figcaption { font-size: 9pt; font-weight: 600 }
@media print {
  main { max-width: none; padding: 0 }
  .wide { overflow: visible }
  thead th { print-color-adjust: exact; -webkit-print-color-adjust: exact }
}
@media screen and (max-width: 600px) {
  main { padding: 10px }
  table { font-size: 10pt }
  td.text div { min-width: 20mm }
  td.tick { font-size: 18pt }
}
"""
