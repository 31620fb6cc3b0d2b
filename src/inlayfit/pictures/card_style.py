"""The bench card's style sheet: for A4 and Letter, in colour and in grey."""

from __future__ import annotations

from typing import Final

from inlayfit.pictures.palette import FAINT, INK, OPEN, PAPER

STYLE: Final = f"""
@page {{ margin: 11mm 12mm; }}
* {{ box-sizing: border-box; }}
html {{ -webkit-print-color-adjust: exact; print-color-adjust: exact; }}
body {{ margin: 0 auto; max-width: 186mm; padding: 4mm 3mm; background: {PAPER}; color: {INK};
  font: 9pt/1.3 sans-serif; overflow-wrap: anywhere; }}
h1, h2, p, ol, ul, table, figure {{ margin: 0; }}
h1 {{ font-size: 17pt; line-height: 1.15; }}
h2 {{ font-size: 10pt; margin: 2.4mm 0 .8mm; padding-bottom: .4mm; border-bottom: .5mm solid {INK}; }}
.head {{ display: flex; gap: 4mm; align-items: flex-start; }}
.head > div {{ flex: 1; }}
.head svg {{ flex: none; width: 15mm; height: 15mm; }}
.verdict {{ font-size: 12pt; font-weight: bold; }}
.faint {{ color: {FAINT}; }}
.depths {{ display: grid; grid-template-columns: repeat(4, 1fr); gap: 1.6mm; margin: 0; }}
.depths div {{ border: .3mm solid {INK}; padding: 1mm 1.6mm; }}
.depths dt {{ font-size: 7.6pt; }}
.depths dd {{ margin: 0; font-size: 12pt; line-height: 1.15; font-weight: bold; font-variant-numeric: tabular-nums; }}
.depths .large dd {{ font-size: 20pt; }}
.depths small {{ display: block; font-size: 7.4pt; font-weight: normal; line-height: 1.2; }}
table {{ border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums; }}
caption {{ text-align: left; font-weight: bold; padding: .8mm 0 .3mm; }}
th, td {{ text-align: left; vertical-align: top; padding: .5mm 1.5mm .5mm 0; border-bottom: .2mm solid {FAINT};
  font-weight: normal; }}
thead th {{ overflow-wrap: normal; font-size: 7.4pt; padding-top: 0; padding-bottom: .2mm; color: {FAINT}; }}
.back {{ break-before: page; }}
.dense {{ font-size: 8pt; line-height: 1.2; }}
.dense .target td, .dense .target th {{ font-size: 8pt; }}
.dense h2 {{ margin-top: 1.6mm; }}
.dense .schedule th, .dense .schedule td {{ padding-top: .2mm; padding-bottom: .2mm; }}
.stop {{ font-size: 26pt; font-weight: bold; line-height: 1; color: {PAPER}; background: {OPEN}; text-align: center;
  padding: 1.5mm; margin-top: 2mm; letter-spacing: .08em; }}
.stopped {{ position: relative; }}
.stopped dd, .stopped td {{ color: {FAINT}; }}
.across {{ position: absolute; left: 3%; right: 3%; top: 11mm; font-size: min(56pt, 10vw); font-weight: bold;
  line-height: 1; text-align: center; white-space: nowrap; color: {OPEN}; -webkit-text-stroke: .4mm {PAPER};
  letter-spacing: .06em; transform: rotate(-4deg); z-index: 1; }}
.passes .across {{ top: 22mm; }}
.stopped .box::before {{ display: none; }}
.bits td, .bits th {{ font-size: 8.4pt; padding: .35mm 1.5mm .35mm 0; }}
.schedule th:first-child {{ width: 26mm; }}
.schedule td:nth-child(2) {{ width: 42mm; }}
.box {{ white-space: nowrap; margin-right: 2.6mm; display: inline-block; }}
.box::before {{ content: ""; display: inline-block; width: 3mm; height: 3mm; border: .3mm solid {INK};
  margin-right: 1mm; vertical-align: -.4mm; }}
.two {{ display: grid; grid-template-columns: 2fr 3fr; gap: 0 6mm; align-items: start; }}
.target td, .target th {{ font-size: 9pt; }}
.target td {{ font-weight: bold; white-space: nowrap; }}
.denser {{ font-size: 7.4pt; }}
.denser .depths .large dd {{ font-size: 17pt; }}
.denser .target td, .denser .target th, .denser .bits td, .denser .bits th {{ font-size: 7.4pt; }}
ol, ul {{ padding-left: 4.6mm; }}
code {{ font-family: monospace; font-size: 8.4pt; overflow-wrap: anywhere; }}
.attention {{ font-size: 8.2pt; }}
.attention li.fail::marker {{ content: "\\2717  "; color: {OPEN}; }}
.attention li.doubtful::marker {{ content: "!  "; }}
.rings {{ list-style: none; padding-left: 0; }}
.rings, .cautions {{ font-size: 7.2pt; columns: 2; column-gap: 6mm; }}
.rings li, .cautions li {{ break-inside: avoid; }}
figure svg {{ display: block; width: 100%; height: auto; max-width: 180mm; }}
figure, tr, li, section.numbers, .two, .schedule, .whole, .attention {{ break-inside: avoid; }}
h2, caption {{ break-after: avoid; }}
figure {{ margin-top: 2mm; }}
.card + .card {{ break-before: page; margin-top: 12mm; }}
@media print {{
  body {{ padding: 0; max-width: none; }}
  .card + .card {{ margin-top: 0; }}
}}
@media screen and (max-width: 600px) {{
  .depths {{ grid-template-columns: repeat(2, 1fr); }}
  .two {{ grid-template-columns: 1fr; }}
  .rings, .cautions {{ columns: 1; }}
}}
"""
