package sheet

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"fairburn/carry"
	"fairburn/finding"
	"fairburn/gear"
	"fairburn/quantity"
	"fairburn/trial"
)

// Trip is what a trip's sheet holds: what is asked, and what there is to take
// beside the gear of the bench. The stoves of its shelf know the name of their
// fuel only; Take finds the fuel.
type Trip struct {
	carry.Trip
	Shelf  carry.Shelf
	Fuels  []TripFuel
	Leave  []string        // what stays at home of the gear of the bench
	System quantity.System // of units
}

// TripFuel is a fuel with its price for a litre. Without a strength and
// components it is a batch of the bench, priced.
type TripFuel struct {
	gear.FuelBatch
	Price quantity.Reading[carry.Money]
}

// ErrTrip is what Read says of the sheet of a trip: ReadTrip reads it.
var ErrTrip = fmt.Errorf("%w: it is the sheet of a trip", ErrUnusable)

// ReadTrip reads the sheet of a trip. As with Read, whatever can be read is in
// the trip and whatever cannot is a finding; the error is for a file of which
// nothing can be used, of a newer version, or that is the sheet of a trial.
func ReadTrip(name string, data []byte) (*Trip, []finding.Finding, error) {
	data, err := checkText(name, data)
	if err != nil {
		return nil, nil, err
	}
	s := &syntax{reader: &reader{file: name}, lines: newLines(data)}
	root := s.parse()
	if s.read == 0 || s.faults > mostFaults {
		return nil, s.findings(), s.hopeless()
	}
	if err := cmp.Or(s.version(root), s.refuseTrial(root)); err != nil {
		return nil, nil, err
	}
	if f := root.find("units"); f != nil {
		var sys quantity.System
		if sys.UnmarshalText([]byte(strings.ToLower(f.value.text))) == nil {
			s.system = sys // wherever it stands
		}
	}
	t := &Trip{Trip: carry.Trip{People: 1}}
	layout[*Trip]{tripKeys, tripSections}.read(s, root, t)
	fs := s.findings()
	finding.Sort(fs)
	return t, fs, nil
}

// WriteTrip returns the trip as a sheet, readings as they were typed. What
// ReadTrip makes of it is the same trip; the errors are those of Write.
func WriteTrip(t *Trip) ([]byte, error) {
	w := &writer{system: t.System}
	w.line("# A trip sheet of fairburn. Quantities stand in quotes with their units.")
	layout[*Trip]{tripKeys, tripSections}.write(w, t)
	if w.err != nil {
		return nil, w.err
	}
	return []byte(w.String()), nil
}

// TripKeys lists every key of a trip's sheet, in the order in which WriteTrip
// writes them.
func TripKeys() []Key { return layout[*Trip]{tripKeys, tripSections}.keys() }

// ofTrial and ofTrip are sections that only the one kind of sheet has.
var (
	ofTrial = []string{"burn", "entry", "judge_by", "plan", "site", "reference", "settings"}
	ofTrip  = []string{"leg"}
)

// holding returns the first of the names that a sheet has, nil for none.
func (n *node) holding(names []string) *field {
	i := slices.IndexFunc(n.fields, func(f *field) bool { return slices.Contains(names, f.name) })
	if i < 0 {
		return nil
	}
	return n.fields[i]
}

// refuseTrip is the error for a trip's sheet where a trial's is read.
func (s *syntax) refuseTrip(root *node) error {
	f := root.holding(ofTrip)
	if f == nil || root.holding(ofTrial) != nil {
		return nil
	}
	return fmt.Errorf("%s:%d:%d: %w, which holds %s, and a trial's was expected; fairburn carry answers it", s.file, f.at.line, f.at.column, ErrTrip, f.name)
}

// refuseTrial is the error for a trial's sheet where a trip's is read.
func (s *syntax) refuseTrial(root *node) error {
	f := root.holding(ofTrial)
	if f == nil || root.holding(ofTrip) != nil {
		return nil
	}
	return unusable(fmt.Sprintf("%s:%d:%d", s.file, f.at.line, f.at.column), "it is the sheet of a trial, which holds %s, and a trip's was expected, with a [[leg]]; fairburn judge, reduce and plan read it", f.name)
}

// Take returns the shelf that the trip chooses from: what its sheet lists, what
// the trials list and what their burns say, without what stays at home. Findings
// are for names that nothing has and for fuels that cannot be reckoned with.
func (t *Trip) Take(trials ...*trial.Reduced) (carry.Shelf, []finding.Finding) {
	k := taker{trip: t, shelf: carry.Shelf{Stoves: slices.Clone(t.Shelf.Stoves), Parts: slices.Clone(t.Shelf.Parts), Vessels: t.Shelf.Vessels}}
	for _, r := range trials {
		k.shelf.Learn(r)
		k.batches = append(k.batches, r.Shelf.Batches...)
	}
	k.leave()
	for i := range k.shelf.Stoves {
		k.fuel(&k.shelf.Stoves[i])
	}
	return k.shelf, k.found
}

// taker fills a shelf.
type taker struct {
	trip    *Trip
	shelf   carry.Shelf
	batches []gear.FuelBatch
	found   []finding.Finding
}

func (k *taker) say(field, sentence, remedy string) {
	k.found = append(k.found, finding.Finding{Code: "trip_name", Severity: finding.Fault, Where: finding.Place{Field: field}, Sentence: sentence, Remedy: remedy})
}

// leave takes out what stays at home.
func (k *taker) leave() {
	for _, name := range k.trip.Leave {
		before := len(k.shelf.Stoves) + len(k.shelf.Parts)
		k.shelf.Stoves = slices.DeleteFunc(k.shelf.Stoves, func(s carry.Stove) bool { return s.Name == name })
		k.shelf.Parts = slices.DeleteFunc(k.shelf.Parts, func(p carry.Part) bool { return p.Name == name })
		if len(k.shelf.Stoves)+len(k.shelf.Parts) == before {
			k.say("leave", fmt.Sprintf("nothing on the shelf is called %q", name), "write the name as the bench has it, or take it out")
		}
	}
}

// fuel gives a stove the fuel that it names, with the sheet's price.
func (k *taker) fuel(s *carry.Stove) {
	i := slices.IndexFunc(k.trip.Fuels, func(f TripFuel) bool { return f.Name == s.Fuel.Name })
	price := quantity.Reading[carry.Money]{}
	batch, ok := gear.Find(k.batches, s.Fuel.Name)
	if i >= 0 {
		f := k.trip.Fuels[i]
		price = f.Price
		if f.Strength.Given || len(f.Components) > 0 {
			batch, ok = f.FuelBatch, true
		}
	}
	switch {
	case s.Fuel.Name == "":
	case s.Fuel.LHV > 0:
		s.Fuel.Price = price
	case !ok:
		k.say("stove.fuel", fmt.Sprintf("stove %q burns %q, which neither the sheet nor the bench lists", s.Name, s.Fuel.Name), "add it as a [[fuel]] with its strength, or name a fuel of the bench")
		s.Fuel = carry.Fuel{}
	default:
		f, err := carry.FuelOf(batch)
		if err != nil {
			k.say("fuel", err.Error(), "say its strength, such as 95 % vol, or its components")
		}
		f.Price = price
		s.Fuel = f
	}
}

var reserves = regexp.MustCompile(`^([0-9.]+)\s*(days?|%)\s*(more|dry)?$`)

// ParseReserve reads a reserve as people write it: "1 day", "1.5 days",
// "25 % more" (than the middle of what is likely), or "2 % dry" (the chance of
// running dry that is taken). A bare share could be either and is refused.
func ParseReserve(s string) (carry.Reserve, error) {
	refuse := func(hint string) (carry.Reserve, error) {
		return carry.Reserve{}, &quantity.ParseError{Text: s, Want: "a reserve", Column: 1, Hint: hint}
	}
	m := reserves.FindStringSubmatch(strings.TrimSpace(s))
	if m == nil {
		return refuse(`write "1 day", "25 % more" or "2 % dry"`)
	}
	x, err := strconv.ParseFloat(m[1], 64)
	switch unit, of := m[2], m[3]; {
	case err != nil:
		return refuse(fmt.Sprintf("%q is no number", m[1]))
	case unit != "%" && of == "":
		return carry.Reserve{Rule: carry.ByDays, Days: x}, nil
	case unit == "%" && of == "more":
		return carry.Reserve{Rule: carry.ByShare, Share: quantity.Ratio(x / 100)}, nil
	case unit == "%" && of == "dry" && x > 0 && x < 100:
		return carry.Reserve{Rule: carry.ByChance, Chance: quantity.Ratio(x / 100)}, nil
	case unit == "%" && of == "dry":
		return refuse("the chance of running dry lies above 0 % and below 100 %")
	case unit == "%":
		return refuse(fmt.Sprintf(`write "%s %% more" for fuel beyond the middle of what is likely, or "%s %% dry" for the chance of running dry`, m[1], m[1]))
	}
	return refuse(`write "1 day" alone`)
}

// ReserveText writes a reserve so that ParseReserve reads it; "" for none.
func ReserveText(r carry.Reserve) string {
	switch r.Rule {
	case carry.ByDays:
		return digitsOf(r.Days, -1) + pickDay(r.Days)
	case carry.ByShare:
		return digitsOf(100*float64(r.Share), 12) + " % more"
	case carry.ByChance:
		return digitsOf(100*float64(r.Chance), 12) + " % dry"
	}
	return ""
}

func pickDay(days float64) string {
	if days == 1 {
		return " day"
	}
	return " days"
}
