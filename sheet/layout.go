package sheet

import (
	"fmt"
	"slices"

	"fairburn/trial"
)

// layout is the sheet of a D, a pointer: the keys before any section, then the sections in
// the order in which they are written.
type layout[D any] struct {
	top      []*key[D]
	sections []*section[D]
}

// read fills into from the nodes of a sheet.
func (l layout[D]) read(s *syntax, root *node, into D) {
	top := &node{kind: table}
	known := names(l.top)
	for _, x := range l.sections {
		known = append(known, x.name)
	}
	for _, f := range root.fields {
		i := slices.IndexFunc(l.sections, func(x *section[D]) bool { return x.name == f.name })
		switch {
		case i >= 0:
			l.sections[i].read(s.reader, f, into)
		case slices.Contains(known, f.name):
			top.fields = append(top.fields, f)
		default:
			s.say("key_unknown", f.at, f.name, fmt.Sprintf("%.60q is no key and no section of a sheet", f.name), suggest(f.name, known))
		}
	}
	readKeys(s.reader, "", top, l.top, into)
}

// write writes what stands in from.
func (l layout[D]) write(w *writer, from D) {
	w.line("fairburn = %d", version)
	w.pairs(writeKeys(w, l.top, from))
	for _, s := range l.sections {
		s.write(w, from)
	}
}

// Key is one key of a sheet with what it holds, for help and documents.
type Key struct {
	Section string // as its header stands: "", "[site]", "[[burn]]"
	Name    string
	Holds   string
}

// keys lists every key, in the order in which they are written.
func (l layout[D]) keys() []Key {
	all := described("", asksOf(l.top))
	for _, s := range l.sections {
		all = append(all, described(s.header(), s.asks)...)
	}
	return all
}

func described(section string, asks []ask) []Key {
	ks := make([]Key, len(asks))
	for i, k := range asks {
		ks[i] = Key{section, k.name, k.holds}
	}
	return ks
}

// section is one part of the sheet of a D under a header of its own.
type section[D any] struct {
	name    string
	comment string // written above the first header
	many    bool   // [[name]]: comes once for each thing
	asks    []ask
	read    func(r *reader, f *field, into D)
	write   func(w *writer, from D)
}

func (s *section[D]) header() string {
	if s.many {
		return "[[" + s.name + "]]"
	}
	return "[" + s.name + "]"
}

// comesOften reports a section that stands under [[name]] in a sheet of either kind.
func comesOften(name string) bool {
	return slices.ContainsFunc(sections, func(s *section[*trial.Trial]) bool { return s.many && s.name == name }) ||
		slices.ContainsFunc(tripSections, func(s *section[*Trip]) bool { return s.many && s.name == name })
}

// once is a section under [name].
//
//go:noinline
func once[D, P any](name, comment string, keys []*key[P], get func(D) P) *section[D] {
	return &section[D]{
		name: name, comment: comment, asks: asksOf(keys),
		read: func(r *reader, f *field, t D) {
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
		write: func(w *writer, t D) {
			w.at = name
			if ps := writeKeys(w, keys, get(t)); len(ps) > 0 {
				w.header("["+name+"]", comment)
				w.pairs(ps)
			}
		},
	}
}

// things is how a D holds a list of things, each reached by a pointer P.
type things[D, P any] struct {
	fresh func() P
	keep  func(D, P)
	all   func(D) []P
}

// thingsOf is a slice of a D: the one body that the compiler makes for each kind of thing.
func thingsOf[D, U any](get func(D) *[]U) things[D, *U] {
	return things[D, *U]{
		fresh: func() *U { return new(U) },
		keep:  func(d D, u *U) { *get(d) = append(*get(d), *u) },
		all: func(d D) []*U {
			us := *get(d)
			ps := make([]*U, len(us))
			for i := range us {
				ps[i] = &us[i]
			}
			return ps
		},
	}
}

// each is a section under [[name]], once for each thing.
func each[D, U any](name, comment string, keys []*key[*U], get func(D) *[]U) *section[D] {
	return some(name, comment, keys, ofList[D, *U]{things: thingsOf(get)})
}

// ofList says which things of a list a section holds, where several share one.
type ofList[D, P any] struct {
	things[D, P]
	start func(r *reader, n *node, u P) // before the keys are read; may be nil
	holds func(P) bool                  // nil for all
}

// some is a section under [[name]], once for each thing of a list that it holds.
//
//go:noinline
func some[D, P any](name, comment string, keys []*key[P], of ofList[D, P]) *section[D] {
	return &section[D]{
		name: name, comment: comment, many: true, asks: asksOf(keys),
		read: func(r *reader, f *field, into D) {
			for i, n := range r.itemsOf(name, f) {
				u := of.fresh()
				if of.start != nil {
					of.start(r, n, u)
				}
				r.subject = subject(name, i, n)
				readKeys(r, name, n, keys, u)
				of.keep(into, u)
			}
			r.subject = ""
		},
		write: func(w *writer, from D) {
			written := 0
			for _, u := range of.all(from) {
				if of.holds != nil && !of.holds(u) {
					continue
				}
				w.item(name, comment, written, func() []pair { return writeKeys(w, keys, u) })
				written++
			}
		},
	}
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
