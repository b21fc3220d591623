package draw

import (
	"fmt"
	"strings"
)

// fontStack names the font that texts are measured in, then its metric twin,
// then whatever the reader has.
const fontStack = `"Liberation Sans", Arial, sans-serif`

// Stylesheet is the style sheet of every drawing and of the page around it: the
// inks as custom properties (--ground, --body, --muted, --grid, --veil,
// --accent, --entry-0 to --entry-7), and the classes that SVG uses. The ground
// follows the system unless the root element carries data-theme="light" or
// data-theme="dark"; print is always on paper.
func Stylesheet() string {
	var b strings.Builder
	day, night := properties(Paper), properties(Night)
	fmt.Fprintf(&b, ":root { color-scheme: light; %s }\n", day)
	fmt.Fprintf(&b, "@media screen and (prefers-color-scheme: dark) { :root:not([data-theme=\"light\"]) { color-scheme: dark; %s } }\n", night)
	fmt.Fprintf(&b, "@media screen { :root[data-theme=\"dark\"] { color-scheme: dark; %s } }\n", night)
	b.WriteString(".drawing { fill: none; stroke-linejoin: round; max-width: 100%; height: auto; overflow: visible }\n")
	b.WriteString(".drawing text { font-family: " + fontStack + "; font-variant-numeric: tabular-nums; stroke: none }\n")
	b.WriteString(".drawing .bold { font-weight: bold }\n")
	b.WriteString(".drawing .area { pointer-events: all; stroke: none }\n")
	b.WriteString(".drawing .target { outline: none }\n")
	b.WriteString(".drawing .target:hover .area { fill: var(--veil); fill-opacity: 0.6 }\n")
	b.WriteString(".drawing .target:focus-visible .area { stroke: var(--accent); stroke-width: 2 }\n")
	for k := Ground; int(k) < inks; k++ {
		fmt.Fprintf(&b, ".drawing .f-%[1]s { fill: var(--%[1]s) } .drawing .s-%[1]s { stroke: var(--%[1]s) }\n", k.name())
	}
	return b.String()
}

func properties(t Theme) string {
	var all []string
	for k := Ground; int(k) < inks; k++ {
		all = append(all, fmt.Sprintf("--%s: #%06x;", k.name(), t.colours[k]))
	}
	return strings.Join(all, " ")
}
