package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"fairburn/finding"
	"fairburn/gear"
	"fairburn/matter/air"
	"fairburn/matter/fuel"
	"fairburn/matter/water"
	"fairburn/quantity"
	"fairburn/reduce"
)

func (a *app) askCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "ask",
		Short: "quick figures: boiling point here, a fuel's heat, the mass of a dose, a claim checked",
		Long: `ask answers one question from the property tables: where water boils at a height
or pressure, what a fuel holds, what a dose weighs, and whether a published
efficiency agrees with its own inputs.

` + exitHelp,
		Example: `  fairburn ask boil --elevation "640 m"
  fairburn ask fuel "95 % vol"
  fairburn ask dose "1 US fl oz" "95 % vol" --at "15 °C"
  fairburn ask claim --water "200 g" --rise "13.4 K" --burned "0.48 g" --fuel methanol --stated "53 %"`,
		Args: cobra.ArbitraryArgs,
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usage{fmt.Errorf("ask does not know %q: expected boil, fuel, dose or claim", args[0])}
			}
			return c.Help()
		},
	}
	for _, ask := range []*cobra.Command{a.askBoil(), a.askFuel(), a.askDose(), a.askClaim()} {
		c.AddCommand(explained(ask))
	}
	return c
}

// explained answers a question that says nothing with what it answers and needs.
func explained(c *cobra.Command) *cobra.Command {
	run, check := c.RunE, c.Args
	silent := func(args []string) bool { return len(args) == 0 && c.Flags().NFlag() == 0 }
	c.Args = func(c *cobra.Command, args []string) error {
		if silent(args) {
			return nil
		}
		return check(c, args)
	}
	c.RunE = func(c *cobra.Command, args []string) error {
		if silent(args) {
			_ = c.Help() // to a reader who may have left
			return usage{fmt.Errorf("nothing is asked yet: %s needs what stands above", c.CommandPath())}
		}
		return run(c, args)
	}
	return c
}

// line is one figure of an answer.
type line struct {
	Name   string  `json:"name"`
	Value  float64 `json:"value"`
	Unit   string  `json:"unit"`
	text   string
	Source string `json:"source,omitempty"`
}

// answer writes lines as text or JSON.
func (a *app) answer(lines []line, fs []finding.Finding) error {
	a.heed(fs)
	if a.asJSON {
		return a.writeJSON(struct {
			Answers  []line            `json:"answers"`
			Findings []finding.Finding `json:"findings,omitempty"`
		}{lines, fs})
	}
	for _, l := range lines {
		source := ""
		if l.Source != "" {
			source = "  (" + l.Source + ")"
		}
		fmt.Fprintf(a.out, "%s: %s%s\n", l.Name, l.text, source)
	}
	a.tell(fs)
	return nil
}

func (a *app) askBoil() *cobra.Command {
	var pressure, elevation, setting string
	c := &cobra.Command{
		Use:   "boil",
		Short: "where water boils at a station pressure, or at a height",
		Long: `boil gives the boiling point of water at a station pressure; at an altimeter
setting and elevation; or at an elevation alone, where weather moves it by about a
kelvin either way.

` + exitHelp,
		Example: `  fairburn ask boil --pressure "941 hPa"
  fairburn ask boil --setting "1018 hPa" --elevation "640 m"
  fairburn ask boil --elevation "2100 ft" --units us`,
		Args: between(0, 0, "flags only"),
		RunE: func(*cobra.Command, []string) error {
			p, fs, err := pressureAt(pressure, setting, elevation)
			if err != nil {
				return err
			}
			tb, err := water.SaturationTemperature(p)
			if err != nil {
				return err
			}
			sys := a.units.system
			return a.answer([]line{
				{"station pressure", float64(p / quantity.Hectopascal), "hPa", quantity.Format(p, sys), ""},
				{"water boils at", tb.Celsius(), "°C", quantity.Format(tb, sys), "IAPWS R7-97"},
			}, fs)
		},
	}
	c.Flags().StringVar(&pressure, "pressure", "", `station pressure, such as "941 hPa"`)
	c.Flags().StringVar(&setting, "setting", "", "altimeter setting, with --elevation")
	c.Flags().StringVar(&elevation, "elevation", "", `height from the map, such as "640 m"`)
	return c
}

func pressureAt(pressure, setting, elevation string) (quantity.Pressure, []finding.Finding, error) {
	switch {
	case pressure != "" && setting+elevation != "":
		return 0, nil, usage{fmt.Errorf("a station pressure stands alone: give --pressure, or --elevation with --setting, not both")}
	case pressure != "":
		p, err := quantity.ParsePressure(pressure)
		return p.Value, nil, flagError("--pressure", err)
	case elevation == "":
		return 0, nil, usage{hinted{fmt.Errorf("ask boil needs a pressure or an elevation"), `try fairburn ask boil --elevation "640 m"`}}
	}
	z, err := quantity.ParseElevation(elevation)
	if err != nil {
		return 0, nil, flagError("--elevation", err)
	}
	if setting == "" {
		p, err := air.PressureAtElevation(z.Value)
		return p, []finding.Finding{{
			Code: "pressure_from_elevation", Severity: finding.Note,
			Sentence: "taken from the elevation alone, which weather moves by up to 30 hPa and the boiling point by about a kelvin",
			Remedy:   "give --setting beside it, or --pressure",
		}}, err
	}
	q, err := quantity.ParsePressure(setting)
	if err != nil {
		return 0, nil, flagError("--setting", err)
	}
	p, err := air.StationPressure(q.Value, z.Value)
	return p, nil, err
}

// flagError says which flag was misread.
func flagError(flag string, err error) error {
	if err == nil {
		return nil
	}
	return usage{fmt.Errorf("%s: %w", flag, err)}
}

// blendOf reads a fuel as a strength ("95 % vol") or the name of a pure liquid
// or of a recipe.
func blendOf(s string) (fuel.Blend, error) {
	if r, err := quantity.ParseStrength(s); err == nil {
		return gear.FuelBatch{Name: s, Strength: r}.Blend()
	}
	if sub, err := fuel.Named(s); err == nil {
		return fuel.Pure(sub)
	}
	for _, r := range fuel.Known() {
		if strings.EqualFold(r.Name, s) {
			return r.Blend()
		}
	}
	return fuel.Blend{}, usage{hinted{fmt.Errorf("fuel %q is neither a strength nor a known liquid", s),
		`write a strength such as "95 % vol", or one of: ` + strings.Join(namedFuels(), "; ")}}
}

// namedFuels are the recipes and pure liquids that go by a name.
func namedFuels() (names []string) {
	for _, r := range fuel.Known() {
		names = append(names, r.Name)
	}
	for _, sub := range fuel.Substances() {
		names = append(names, sub.String())
	}
	return names
}

func (a *app) askFuel() *cobra.Command {
	return &cobra.Command{
		Use:   "fuel STRENGTH|NAME",
		Short: "what a fuel holds: heating values, density, where it boils",
		Long: `fuel gives net and gross heating value of the liquid at 25 °C, density at 20 °C,
boiling point at 1013.25 hPa and air needed.

It needs the strength of ethanol in water, or one of these names:
  ` + strings.Join(namedFuels(), "\n  ") + `

` + exitHelp,
		Example: `  fairburn ask fuel "95 % vol"
  fairburn ask fuel methanol`,
		Args: between(1, 1, "one strength or name"),
		RunE: func(_ *cobra.Command, args []string) error {
			b, err := blendOf(args[0])
			if err != nil {
				return err
			}
			lhv, u := b.LHV()
			hhv, _ := b.HHV()
			mj := float64(quantity.MegajoulePerKilogram)
			lines := []line{
				{"net heating value", float64(lhv) / mj, "MJ/kg", fmt.Sprintf("%.2f ± %.2f MJ/kg", float64(lhv)/mj, 2*float64(u)/mj), fuel.LHVBasis},
				{"gross heating value", float64(hhv) / mj, "MJ/kg", fmt.Sprintf("%.2f MJ/kg", float64(hhv)/mj), fuel.HHVBasis},
			}
			if rho, u, err := b.Density(quantity.Celsius(20)); err == nil {
				lines = append(lines, line{"density at 20 °C", float64(rho), "kg/m³", fmt.Sprintf("%.1f ± %.1f kg/m³", float64(rho), 2*float64(u)), ""})
			}
			if bubble, err := b.BubblePoint(quantity.StandardAtmosphere); err == nil {
				lines = append(lines, line{"begins to boil at", bubble.Temperature.Celsius(), "°C", quantity.Format(bubble.Temperature, a.units.system), "1013.25 hPa"})
			}
			lines = append(lines, line{"air needed", float64(b.AirFuelRatio()), "kg/kg", fmt.Sprintf("%.2f kg of air a kg", float64(b.AirFuelRatio())), ""})
			return a.answer(lines, b.Findings())
		},
	}
}

func (a *app) askDose() *cobra.Command {
	at := "20 °C"
	c := &cobra.Command{
		Use:   "dose DOSE FUEL",
		Short: "what a dose weighs, and the heat in it",
		Long: `dose turns a volume of fuel into its mass, or a mass into its volume, and gives the
heat in it. A dose is not what a burn takes: weigh that.

It needs the dose and the fuel, as a strength or a name that ask fuel knows.

` + exitHelp,
		Example: `  fairburn ask dose "1 US fl oz" "95 % vol"
  fairburn ask dose "20 mL" methanol --at "5 °C"`,
		Args: between(2, 2, "a dose and a fuel"),
		RunE: func(_ *cobra.Command, args []string) error {
			d, err := quantity.ParseDose(args[0], a.units.system)
			if err != nil {
				return usage{err}
			}
			t, err := quantity.ParseTemperature(at)
			if err != nil {
				return flagError("--at", err)
			}
			b, err := blendOf(args[1])
			if err != nil {
				return err
			}
			return a.answerDose(d, b, t.Value)
		},
	}
	c.Flags().StringVar(&at, "at", at, "temperature of the fuel")
	return c
}

func (a *app) answerDose(d quantity.Dose, b fuel.Blend, at quantity.Temperature) (err error) {
	sys := a.units.system
	m, v := d.Mass.Value, d.Volume.Value
	if d.Mass.Given {
		v, err = b.VolumeOf(m, at)
	} else {
		m, _, err = b.MassOf(v, at)
	}
	if err != nil {
		return err
	}
	lhv, _ := b.LHV()
	heat := quantity.Energy(float64(m) * float64(lhv))
	return a.answer([]line{
		{"mass", float64(m / quantity.Gram), "g", quantity.Format(m, sys), ""},
		{"volume", float64(v / quantity.Millilitre), "mL", quantity.Format(v, sys), "at " + quantity.Format(at, sys)},
		{"heat", float64(heat / quantity.Kilojoule), "kJ", quantity.Format(heat, sys), "net"},
	}, b.Findings())
}

// claimFlags are a claim as typed.
type claimFlags struct{ water, rise, burned, fuel, stated, steam string }

func (a *app) askClaim() *cobra.Command {
	var f claimFlags
	c := &cobra.Command{
		Use:   "claim",
		Short: "check a published efficiency against its own inputs",
		Long: `claim computes the efficiency that a published test's own inputs give, net, for the
water alone or with steam, and says when it cannot be or when the stated figure
does not follow from them.

It needs the mass of the water, how far it warmed and the mass of the fuel burned.
The fuel is taken for ethanol unless --fuel names another. With --stated the figure
that was published is held against the inputs; with --steam the water boiled away
counts too.

` + exitHelp,
		Example: `  fairburn ask claim --water "200 g" --rise "13.4 K" --burned "0.48 g" --fuel methanol --stated "53 %"
  fairburn ask claim --water "1 kg" --rise "79 K" --burned "22 g" --fuel ethanol`,
		Args: between(0, 0, "flags only"),
		RunE: func(*cobra.Command, []string) error {
			claim, err := f.claim()
			if err != nil {
				return err
			}
			eta, fs := claim.Efficiency()
			return a.answer([]line{
				{"heat", float64(claim.Heat / quantity.Kilojoule), "kJ", quantity.Format(claim.Heat, a.units.system), ""},
				{"efficiency", float64(eta), "", fmt.Sprintf("%.1f %%", float64(eta)*100), "net, as the claim counts"},
			}, fs)
		},
	}
	flags := c.Flags()
	flags.StringVar(&f.water, "water", "", `mass of the water, such as "500 g"; needed`)
	flags.StringVar(&f.rise, "rise", "", `rise of its temperature, such as "80 K" or "144 °F"; needed`)
	flags.StringVar(&f.burned, "burned", "", `mass of the fuel burned, such as "12.4 g"; needed`)
	flags.StringVar(&f.fuel, "fuel", "ethanol", "the fuel: a strength or a name")
	flags.StringVar(&f.steam, "steam", "", "mass of water boiled away, if the claim counts it")
	flags.StringVar(&f.stated, "stated", "", "the efficiency stated, if any")
	return c
}

func (f claimFlags) claim() (reduce.Claim, error) {
	var c reduce.Claim
	var missing []string
	for _, need := range []struct{ flag, text string }{{"--water", f.water}, {"--rise", f.rise}, {"--burned", f.burned}} {
		if need.text == "" {
			missing = append(missing, need.flag)
		}
	}
	if len(missing) > 0 {
		return c, usage{hinted{fmt.Errorf("claim also needs %s", strings.Join(missing, ", ")), `try fairburn ask claim --water "1 kg" --rise "79 K" --burned "22 g"`}}
	}
	water, err := quantity.ParseMass(f.water)
	if err != nil {
		return c, flagError("--water", err)
	}
	rise, err := quantity.ParseTempDiff(f.rise)
	if err != nil {
		return c, flagError("--rise", err)
	}
	burned, err := quantity.ParseMass(f.burned)
	if err != nil {
		return c, flagError("--burned", err)
	}
	blend, err := blendOf(f.fuel)
	if err != nil {
		return c, err
	}
	c.Fuel = burned.Value
	c.HeatingValue, _ = blend.LHV()
	var steam quantity.Reading[quantity.Mass]
	if f.steam != "" {
		if steam, err = quantity.ParseMass(f.steam); err != nil {
			return c, flagError("--steam", err)
		}
	}
	c.Heat = reduce.ClaimedHeat(water.Value, rise.Value, steam.Value)
	if f.stated != "" {
		eta, err := quantity.ParseRatio(f.stated)
		if err != nil {
			return c, flagError("--stated", err)
		}
		c.Stated = eta.Value
	}
	return c, nil
}
