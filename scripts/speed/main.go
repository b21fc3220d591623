// Command speed writes the same made-up trial of 8 entries with 12 burns each
// as a sheet (burns.toml) and as a table for R (burns.csv) into a folder. The
// numbers only have to look like burns; the seed is fixed.
package main

import (
	"fmt"
	"log"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
)

const head = `fairburn = 1
title = "speed"
judge_by = "fastest"
invented = true
[site]
station_pressure = "950 hPa"
air = "15 °C"
[[scale]]
name = "scale"
step = "0.1 g"
[[fuel]]
name = "bottle"
strength = "95 % vol ± 1 % vol"
[[pot]]
name = "pot"
mass = "120 g"
material = "aluminium"
`

func main() {
	if len(os.Args) != 2 {
		log.Fatal("speed takes one folder")
	}
	r := rand.New(rand.NewPCG(1, 2))
	var sheet, table strings.Builder
	sheet.WriteString(head)
	table.WriteString("entry,seconds,boiled\n")
	for e := range 8 {
		fmt.Fprintf(&sheet, "[[burner]]\nname = \"B%d\"\nfamily = \"side jets\"\ndry_mass = \"10.0 g\"\n[[entry]]\nname = \"B%d\"\nburner = \"B%d\"\npot = \"pot\"\nfuel = \"bottle\"\n", e, e, e)
	}
	for i := range 96 {
		e := i % 8
		boil := int((390 + 12*float64(e)) * (1 + 0.04*r.NormFloat64()))
		left := 20 - (13+0.4*float64(e))*(1+0.03*r.NormFloat64())
		fmt.Fprintf(&sheet, "[[burn]]\nid = \"%d\"\nentry = \"B%d\"\nweighed = \"burner and fuel\"\npoured = \"30.0 g\"\nleft = \"%.1f g\"\nwater = \"500 g\"\nstart = \"%.1f °C\"\npot_on = \"0:30\"\nboil = \"%d:%02d\"\nsnuffed = \"%d:%02d\"\n",
			i+1, e, left+10, 14+3*r.Float64(), boil/60, boil%60, (boil+2)/60, (boil+2)%60)
		fmt.Fprintf(&table, "B%d,%d,1\n", e, boil)
	}
	write := func(name, text string) {
		if err := os.WriteFile(filepath.Join(os.Args[1], name), []byte(text), 0o644); err != nil {
			log.Fatal(err)
		}
	}
	write("burns.toml", sheet.String())
	write("burns.csv", table.String())
}
