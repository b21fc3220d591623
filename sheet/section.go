package sheet

import (
	"fmt"

	"fairburn/burn"
	"fairburn/gear"
	"fairburn/reduce"
	"fairburn/trial"
)

// section is one part of a sheet under a header of its own.
type section struct {
	name    string
	comment string // written above the first header
	many    bool   // [[name]]: comes once for each thing
	keys    func() [][2]string
	read    func(r *reader, f *field, t *trial.Trial)
	write   func(w *writer, t *trial.Trial)
}

// sections is the layout of a sheet, in the order in which it is written.
var sections = []section{
	once("settings", "How the trial is read.", settingsKeys, func(t *trial.Trial) *trial.Settings { return &t.Settings }),
	once("reference", "The boil that every burn is corrected to.", referenceKeys, func(t *trial.Trial) *trial.Settings { return &t.Settings }),
	once("rules", "Changed rules of the reduction.", rulesKeys, func(t *trial.Trial) *reduce.Rules { return &t.Settings.Rules }),
	once("site", "Where it was burned.", siteOnly, func(t *trial.Trial) *burn.Site { return &t.Site }),
	each("scale", "The instruments.", scaleKeys, func(t *trial.Trial) *[]gear.Scale { return &t.Shelf.Tools.Scales }),
	each("thermometer", "", thermometerKeys, func(t *trial.Trial) *[]gear.Thermometer { return &t.Shelf.Tools.Thermometers }),
	each("barometer", "", barometerKeys, func(t *trial.Trial) *[]gear.Barometer { return &t.Shelf.Tools.Barometers }),
	each("measure", "", measureKeys, func(t *trial.Trial) *[]gear.Measure { return &t.Shelf.Tools.Measures }),
	each("fuel", "The fuel, one for each bottle or purchase.", fuelKeys, func(t *trial.Trial) *[]gear.FuelBatch { return &t.Shelf.Batches }),
	each("burner", "The burners, as built or as bought.", burnerKeys, func(t *trial.Trial) *[]gear.Burner { return &t.Shelf.Burners }),
	each("pot", "Pots, lids, screens and stands.", potKeys, func(t *trial.Trial) *[]gear.Pot { return &t.Shelf.Pots }),
	each("lid", "", lidKeys, func(t *trial.Trial) *[]gear.Lid { return &t.Shelf.Lids }),
	each("screen", "", screenKeys, func(t *trial.Trial) *[]gear.Screen { return &t.Shelf.Screens }),
	each("stand", "", standKeys, func(t *trial.Trial) *[]gear.Stand { return &t.Shelf.Stands }),
	each("entry", "What is compared: the whole system.", entryKeys, func(t *trial.Trial) *[]trial.Entry { return &t.Entries }),
	once("plan", "How the burns were laid out before the first was lit.", planKeys, func(t *trial.Trial) *trial.Plan { return &t.Plan }),
	burns(),
}

// manySections names those that come once for each thing.
var manySections = []string{"scale", "thermometer", "barometer", "measure", "fuel", "burner", "pot", "lid", "screen", "stand", "entry", "burn"}

func sectionNames() []string {
	ns := make([]string, len(sections))
	for i, s := range sections {
		ns[i] = s.name
	}
	return ns
}

// once is a section under [name].
func once[U any](name, comment string, keys []key[U], get func(*trial.Trial) *U) section {
	return section{
		name: name, comment: comment, keys: described(keys),
		read: func(r *reader, f *field, t *trial.Trial) {
			n := f.value
			if n.kind == list && len(n.items) > 0 && n.items[0].kind == table {
				r.say("brackets", n.items[0].at, name, fmt.Sprintf("read [[%s]], which there is one of", name), fmt.Sprintf("write [%s]; the first was read", name))
				n = n.items[0]
			}
			if n.kind != table {
				r.say("wrong_type", n.at, name, "read "+n.shown()+", expected a section", fmt.Sprintf("write [%s] on a line of its own and its keys below", name))
				return
			}
			readKeys(r, name, n, keys, get(t))
		},
		write: func(w *writer, t *trial.Trial) {
			w.at = name
			if ps := writeKeys(w, keys, get(t)); len(ps) > 0 {
				w.header("["+name+"]", comment)
				w.pairs(ps)
			}
		},
	}
}

// each is a section under [[name]], once for each thing.
func each[U any](name, comment string, keys []key[U], get func(*trial.Trial) *[]U) section {
	return section{
		name: name, comment: comment, many: true, keys: described(keys),
		read: func(r *reader, f *field, t *trial.Trial) {
			for i, n := range r.itemsOf(name, f) {
				var u U
				r.subject = subject(name, i, n)
				readKeys(r, name, n, keys, &u)
				*get(t) = append(*get(t), u)
			}
			r.subject = ""
		},
		write: func(w *writer, t *trial.Trial) {
			for i := range *get(t) {
				w.item(name, comment, i, func() []pair { return writeKeys(w, keys, &(*get(t))[i]) })
			}
		},
	}
}

// burns is the section of the burns, which have a clock of their own.
func burns() section {
	get := func(t *trial.Trial) *[]burn.Record { return &t.Burns }
	s := each("burn", "The burns. Times are minutes:seconds from light.", burnKeys, get)
	s.read = func(r *reader, f *field, t *trial.Trial) {
		for i, n := range r.itemsOf("burn", f) {
			r.subject = subject("burn", i, n)
			t.Burns = append(t.Burns, r.burn(n))
		}
		r.subject = ""
	}
	s.write = func(w *writer, t *trial.Trial) {
		for i := range t.Burns {
			w.light = clockAt(t.Burns[i].Marks[burn.Light].Text)
			w.item(s.name, s.comment, i, func() []pair { return writeKeys(w, burnKeys, &t.Burns[i]) })
		}
	}
	return s
}

// burn reads one burn, its place first and its clock before its marks.
func (r *reader) burn(n *node) burn.Record {
	var b burn.Record
	b.Where.File, b.Where.Line, b.Where.Column = r.file, n.at.line, n.at.column
	r.light = lightOf(n)
	readKeys(r, "burn", n, burnKeys, &b)
	return b
}

// item writes one thing of a section.
func (w *writer) item(name, comment string, i int, pairs func() []pair) {
	w.at = fmt.Sprintf("%s number %d", name, i+1)
	if i > 0 {
		comment = ""
	}
	w.header("[["+name+"]]", comment)
	w.pairs(pairs())
}

// itemsOf returns the tables of a section that comes many times.
func (r *reader) itemsOf(name string, f *field) []*node {
	list := f.value.items
	if f.value.kind == table {
		f.value.single = true
		list = []*node{f.value}
	}
	var tables []*node
	for _, n := range list {
		if n.single {
			r.say("brackets", n.at, name, fmt.Sprintf("read [%s], which there can be many of", name), fmt.Sprintf("write [[%s]]; it was read as one", name))
		}
		if n.kind == table {
			tables = append(tables, n)
			continue
		}
		r.say("wrong_type", n.at, name, "read "+n.shown()+", expected a section", fmt.Sprintf("write [[%s]] on a line of its own and its keys below", name))
	}
	if len(list) == 0 {
		r.say("wrong_type", f.value.at, name, "read "+f.value.shown()+", expected a section", fmt.Sprintf("write [[%s]] on a line of its own and its keys below", name))
	}
	return tables
}

func described[T any](keys []key[T]) func() [][2]string {
	return func() [][2]string {
		var ks [][2]string
		for _, k := range keys {
			ks = append(ks, [2]string{k.name, k.holds})
		}
		return ks
	}
}
