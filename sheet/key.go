package sheet

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"fairburn/quantity"
)

// key is one key of a section: how it is read and how it is written. Both
// directions stand in one row, so that neither can forget the other.
//
// P is a pointer to the thing that the section is about. The compiler makes one
// body for all pointers, where it would make one for each kind of thing. What
// makes a key is kept out of line for the same reason: put in line, each of some
// three hundred keys would bring its own copy of how it is read and written.
type key[P any] struct {
	name  string
	holds string // what it holds, for the list of keys and for forms: see ask.inForm
	form  shape
	read  func(r *reader, p place, v *node, into P)
	write func(w *writer, from P) string // as TOML; "" leaves the key out
}

// like gives the examples of a form: of a metric bench, a US and an imperial one.
func (k *key[P]) like(metric, us, imperial string) *key[P] {
	k.form.example = [3]string{quantity.Metric: metric, quantity.US: us, quantity.Imperial: imperial}
	return k
}

func names[P any](keys []*key[P]) []string {
	ns := make([]string, len(keys))
	for i, k := range keys {
		ns[i] = k.name
	}
	return ns
}

// readKeys fills into from the fields of a table.
func readKeys[P any](r *reader, path string, n *node, keys []*key[P], into P) {
	for _, f := range n.fields {
		p := place{path: strings.TrimPrefix(path+"."+f.name, "."), name: f.name, at: f.at}
		known := false
		for _, k := range keys {
			if k.name == f.name {
				k.read(r, p, f.value, into)
				known = true
				break
			}
		}
		if !known {
			r.say("key_unknown", f.at, fmt.Sprintf("%.80s", p.path), fmt.Sprintf("the key %.60q is not known here", f.name), suggest(f.name, names(keys)))
		}
	}
}

// words is free text.
//
//go:noinline
func words[P any](name, holds string, get func(P) *string) *key[P] {
	return &key[P]{
		name: name, holds: holds, form: shape{kind: Words},
		read: func(r *reader, p place, v *node, into P) {
			if s, ok := r.text(p, v, "…"); ok {
				*get(into) = s
			}
		},
		write: func(w *writer, from P) string { return w.filled(*get(from)) },
	}
}

// prose is free text that may run over lines.
func prose[P any](name, holds string, get func(P) *string) *key[P] {
	k := words(name, holds, get)
	k.form.kind = LongWords
	return k
}

// label is a name that may be a bare number or a bare date: id = 7.
//
//go:noinline
func label[P any](name, holds string, get func(P) *string) *key[P] {
	return &key[P]{
		name: name, holds: holds, form: shape{kind: Words},
		read: func(r *reader, p place, v *node, into P) {
			if v.kind == whole || v.kind == date {
				*get(into) = v.text
				return
			}
			if s, ok := r.text(p, v, "…"); ok {
				*get(into) = s
			}
		},
		write: func(w *writer, from P) string {
			s := *get(from)
			if n, err := strconv.Atoi(s); err == nil && strconv.Itoa(n) == s {
				return s
			}
			return w.filled(s)
		},
	}
}

// count is a whole number of 0 or more; 0 is not written.
//
//go:noinline
func count[P any, N int | uint64](name, holds string, get func(P) *N) *key[P] {
	return &key[P]{
		name: name, holds: holds, form: shape{kind: Count},
		read: func(r *reader, p place, v *node, into P) {
			n, err := strconv.ParseUint(strings.ReplaceAll(v.text, "_", ""), 10, 64)
			if (v.kind != whole && v.kind != text) || err != nil || N(n) < 0 || uint64(N(n)) != n {
				r.say("wrong_type", v.at, p.path, "read "+v.shown()+", expected a whole number of 0 or more", r.remedy(fmt.Sprintf("write it without quotes, point or unit: %s = 4", p.name), "write it without point or unit, such as 4"))
				return
			}
			*get(into) = N(n)
		},
		write: func(_ *writer, from P) string {
			n := uint64(*get(from))
			switch {
			case n == 0:
				return ""
			case n > 1<<63-1: // beyond the whole numbers of TOML
				return strconv.Quote(strconv.FormatUint(n, 10))
			}
			return strconv.FormatUint(n, 10)
		},
	}
}

// yes is true or false; false is not written.
//
//go:noinline
func yes[P any](name, holds string, get func(P) *bool) *key[P] {
	return &key[P]{
		name: name, holds: holds, form: shape{kind: YesNo},
		read: func(r *reader, p place, v *node, into P) {
			switch answer := strings.ToLower(v.text); {
			case v.kind == truth, v.kind == text && (answer == "true" || answer == "false"):
				*get(into) = answer == "true"
			case v.kind == text && (answer == "yes" || answer == "no"):
				*get(into) = answer == "yes"
			default:
				r.say("wrong_type", v.at, p.path, "read "+v.shown()+r.remedy(", expected true or false", ", expected yes or no"), r.remedy(fmt.Sprintf("write it without quotes: %s = true", p.name), "choose one of the two"))
			}
		},
		write: func(_ *writer, from P) string {
			if *get(from) {
				return "true"
			}
			return ""
		},
	}
}

// vocabulary is what may be written for one of a few words.
type vocabulary[W ~string] struct {
	parse func(string) (W, error)
	words []W // as they are kept
}

func (v vocabulary[W]) choices() []string {
	cs := make([]string, len(v.words))
	for i, w := range v.words {
		cs[i] = string(w)
	}
	return cs
}

// one makes a vocabulary without other spellings.
func one[W ~string](what string, kept ...W) vocabulary[W] {
	return vocabulary[W]{func(s string) (W, error) { return quantity.ParseWord(what, s, quantity.Words(kept...)) }, kept}
}

// word is one of a small vocabulary.
//
//go:noinline
func word[P any, W ~string](name, holds string, of vocabulary[W], get func(P) *W) *key[P] {
	return &key[P]{
		name: name, holds: holds, form: shape{kind: Choice, choices: of.choices()},
		read: func(r *reader, p place, v *node, into P) {
			s, ok := r.text(p, v, "…")
			if !ok {
				return
			}
			w, err := of.parse(s)
			if err != nil {
				r.refuse(p, v, err)
				return
			}
			*get(into) = w
		},
		write: func(w *writer, from P) string { return w.filled(string(*get(from))) },
	}
}

// many is a list of words; a single text may hold several with semicolons between.
//
//go:noinline
func many[P any, W ~string](name, holds string, of vocabulary[W], get func(P) *[]W) *key[P] {
	return &key[P]{
		name: name, holds: holds, form: shape{kind: ManyChoice, choices: of.choices()},
		read: func(r *reader, p place, v *node, into P) {
			for _, item := range listed(v) {
				s, ok := r.text(p, item, "…")
				if !ok {
					continue
				}
				w, err := of.parse(s)
				if err != nil {
					r.refuse(p, item, err)
					continue
				}
				*get(into) = append(*get(into), w)
			}
		},
		write: func(w *writer, from P) string {
			var parts []string
			for _, x := range *get(from) {
				parts = append(parts, w.quote(string(x)))
			}
			return listOf(parts)
		},
	}
}

// labels is a list of names, which may be bare numbers.
func labels[P any](name, holds string, get func(P) *[]string) *key[P] {
	k := many(name, holds, vocabulary[string]{parse: func(s string) (string, error) { return s, nil }}, get)
	k.form.kind = Names
	read := k.read
	k.read = func(r *reader, p place, v *node, into P) {
		for _, item := range listed(v) {
			if item.kind == whole {
				item.kind = text
			}
		}
		read(r, p, v, into)
	}
	return k
}

// listed returns the items of a list, or the parts of one text.
func listed(v *node) []*node {
	if v.kind == list {
		return v.items
	}
	if v.kind != text || !strings.Contains(v.text, ";") {
		return []*node{v}
	}
	var items []*node
	for part := range strings.SplitSeq(v.text, ";") {
		if part = strings.TrimSpace(part); part != "" {
			items = append(items, &node{kind: text, text: part, at: v.at})
		}
	}
	return items
}

// inner is a table of its own inside a section.
//
//go:noinline
func inner[P, I any](name, holds string, keys []*key[I], get func(P) I) *key[P] {
	return &key[P]{
		name: name, holds: holds, form: shape{kind: nested, keys: asksOf(keys)},
		read: func(r *reader, p place, v *node, into P) {
			if r.isTable(p, v, keys[0].name) {
				readKeys(r, p.path, v, keys, get(into))
			}
		},
		write: func(w *writer, from P) string { return w.inline(writeKeys(w, keys, get(from))) },
	}
}

// item is how one table of a list is read and written.
type item[I any] struct {
	one   string // of them, in words
	keys  []*key[I]
	start func(I)                        // before its keys are read; may be nil
	short func(*reader, string, I) error // reads a text that stands for the table; may be nil
}

// rows is a list of tables.
func rows[P, U any](name, holds string, it item[*U], get func(P) *[]U) *key[P] {
	return tables(name, holds, it, thingsOf(get))
}

// tables is rows, however the list is held.
//
//go:noinline
func tables[P, I any](name, holds string, it item[I], of things[P, I]) *key[P] {
	return &key[P]{
		name: name, holds: holds, form: shape{kind: nested, keys: asksOf(it.keys), row: it.one},
		read: func(r *reader, p place, v *node, into P) {
			for _, n := range listed(v) {
				u := of.fresh()
				if it.read(r, p, n, u) && !(r.form && it.saysNothing(u)) {
					of.keep(into, u)
				}
			}
		},
		write: func(w *writer, from P) string {
			var parts []string
			for _, u := range of.all(from) {
				parts = append(parts, cmp.Or(w.inline(writeKeys(w, it.keys, u)), "{}"))
			}
			return rowsOf(parts)
		},
	}
}

// saysNothing is for a row of a form that was opened and left as it was.
func (it item[I]) saysNothing(u I) bool { return len(writeKeys(&writer{}, it.keys, u)) == 0 }

func (it item[I]) read(r *reader, p place, n *node, u I) bool {
	if n.kind == text && it.short != nil {
		err := it.short(r, n.text, u)
		if err != nil {
			r.refuse(p, n, err)
		}
		return err == nil
	}
	if !r.isTable(p, n, it.keys[0].name) {
		return false
	}
	if it.start != nil {
		it.start(u)
	}
	readKeys(r, p.path, n, it.keys, u)
	return true
}

// only writes a key where when says so.
func only[P any](k *key[P], when func(P) bool) *key[P] {
	write := k.write
	k.write = func(w *writer, from P) string {
		if !when(from) {
			return ""
		}
		return write(w, from)
	}
	return k
}

func (r *reader) isTable(p place, v *node, example string) bool {
	if v.kind == table {
		return true
	}
	r.say("wrong_type", v.at, p.path, "read "+v.shown()+", expected a table in braces", fmt.Sprintf("write %s = { %s = … }", p.name, example))
	return false
}
