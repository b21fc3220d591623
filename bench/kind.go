package bench

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/gear"
	"fairburn/journal"
	"fairburn/quantity"
	"fairburn/sheet"
	"fairburn/trial"
)

// Versions of the bodies of things. The first is {"sheet":"..."}: a sheet that
// holds exactly one thing, or for a trial what is said of it as a whole, its gear
// by name alone. The sheet says its own version. The second is {"withdrawn":true}:
// there is no such thing; it was written down by mistake.
const (
	bodyVersion      = 1
	withdrawnVersion = 2
)

// LongestTitle is how many bytes a trial's title may have, so that the ids of its
// burns have room beside it.
const LongestTitle = 140

// longestSubject leaves room in the 200 bytes that a journal takes for what the
// subjects of moments and photos add.
const longestSubject = 150

type body struct {
	Sheet     string `json:"sheet,omitempty"`
	Withdrawn bool   `json:"withdrawn,omitempty"`
}

// withdrawn is the value of a record that takes a thing off the bench.
type withdrawn struct{}

func isWithdrawn(f journal.Fact) bool {
	_, is := f.Value.(withdrawn)
	return is
}

// kind is one kind of record. Each is kept and handed on as the value of a sheet:
// a trip as a *sheet.Trip, all others as a *trial.Trial that holds that one thing,
// so that whatever sheet can read and write can be kept.
type kind struct {
	name    string
	subject func(title, name string) string // of a thing in a trial
	parse   func(text []byte) (any, []finding.Finding, error)
	write   func(any) ([]byte, error)
	label   func(any) string // the name of the one thing in a value

	// What follows is of kinds that a trial holds.
	names   func(*trial.Trial) []string          // of the things of this kind in a trial
	one     func(*trial.Trial, int) *trial.Trial // the i-th of them alone
	add     func(to, from *trial.Trial)          // appends those of from
	mention func(to *trial.Trial, name string)   // appends one of which no more than its name is said
}

// inTrial completes a kind whose values are trials.
func inTrial(k kind, write func(*trial.Trial) ([]byte, error)) kind {
	k.parse = func(text []byte) (any, []finding.Finding, error) { return sheet.Read("record", text) }
	k.write = func(x any) ([]byte, error) { return write(x.(*trial.Trial)) }
	k.label = func(x any) string { return k.names(x.(*trial.Trial))[0] }
	return k
}

// things makes a kind of what a trial holds in a list.
func things[T any](name string, subject func(title, name string) string, list func(*trial.Trial) *[]T, label func(*T) *string) kind {
	return inTrial(kind{
		name: name, subject: subject,
		names: func(t *trial.Trial) []string {
			var ns []string
			for i := range *list(t) {
				ns = append(ns, *label(&(*list(t))[i]))
			}
			return ns
		},
		one: func(t *trial.Trial, i int) *trial.Trial {
			alone := &trial.Trial{Settings: trial.DefaultSettings()}
			alone.Settings.System = t.Settings.System
			*list(alone) = []T{(*list(t))[i]}
			return alone
		},
		add: func(to, from *trial.Trial) { *list(to) = append(*list(to), *list(from)...) },
		mention: func(to *trial.Trial, name string) {
			var x T
			*label(&x) = name
			*list(to) = append(*list(to), x)
		},
	}, sheet.WriteThings)
}

func ownName(_, name string) string { return name }

// gearKinds are kept once for all trials of a tester, under their own names.
var gearKinds = []kind{
	things("burner", ownName, func(t *trial.Trial) *[]gear.Burner { return &t.Shelf.Burners }, func(x *gear.Burner) *string { return &x.Name }),
	things("pot", ownName, func(t *trial.Trial) *[]gear.Pot { return &t.Shelf.Pots }, func(x *gear.Pot) *string { return &x.Name }),
	things("lid", ownName, func(t *trial.Trial) *[]gear.Lid { return &t.Shelf.Lids }, func(x *gear.Lid) *string { return &x.Name }),
	things("screen", ownName, func(t *trial.Trial) *[]gear.Screen { return &t.Shelf.Screens }, func(x *gear.Screen) *string { return &x.Name }),
	things("stand", ownName, func(t *trial.Trial) *[]gear.Stand { return &t.Shelf.Stands }, func(x *gear.Stand) *string { return &x.Name }),
	things("fuel", ownName, func(t *trial.Trial) *[]gear.FuelBatch { return &t.Shelf.Batches }, func(x *gear.FuelBatch) *string { return &x.Name }),
	things("scale", ownName, func(t *trial.Trial) *[]gear.Scale { return &t.Shelf.Tools.Scales }, func(x *gear.Scale) *string { return &x.Name }),
	things("thermometer", ownName, func(t *trial.Trial) *[]gear.Thermometer { return &t.Shelf.Tools.Thermometers }, func(x *gear.Thermometer) *string { return &x.Name }),
	things("barometer", ownName, func(t *trial.Trial) *[]gear.Barometer { return &t.Shelf.Tools.Barometers }, func(x *gear.Barometer) *string { return &x.Name }),
	things("measure", ownName, func(t *trial.Trial) *[]gear.Measure { return &t.Shelf.Tools.Measures }, func(x *gear.Measure) *string { return &x.Name }),
}

// burnKind is one burn of a trial.
var burnKind = things("burn", burnSubject, func(t *trial.Trial) *[]burn.Record { return &t.Burns }, func(x *burn.Record) *string { return &x.ID })

const trialName = "trial"

// trialKind is a trial without burns, its gear by name alone.
var trialKind = inTrial(kind{
	name: trialName, subject: ownName,
	names: func(t *trial.Trial) []string { return []string{t.Title} },
	one: func(t *trial.Trial, _ int) *trial.Trial {
		head := *t
		head.Burns, head.Shelf = nil, gear.Shelf{}
		for _, k := range gearKinds {
			for _, name := range k.names(t) {
				k.mention(&head, name)
			}
		}
		return &head
	},
}, sheet.Write)

// tripKind is a trip with what its sheet says there is to take.
var tripKind = kind{
	name: "trip", subject: ownName,
	parse: func(text []byte) (any, []finding.Finding, error) { return sheet.ReadTrip("record", text) },
	write: func(x any) ([]byte, error) { return sheet.WriteTrip(x.(*sheet.Trip)) },
	label: func(x any) string { return x.(*sheet.Trip).Title },
	names: func(*trial.Trial) []string { return nil },
}

var allKinds = append([]kind{trialKind, burnKind, tripKind}, gearKinds...)

// isGear tells what lies on the shelf from trials, burns and trips.
func (k kind) isGear() bool {
	return k.name != trialName && k.name != burnKind.name && k.name != tripKind.name
}

// longest is how many bytes a subject of the kind may have.
func (k kind) longest() int {
	if k.name == trialKind.name {
		return LongestTitle
	}
	return longestSubject
}

// kindNamed finds a kind; false when there is none of that name.
func kindNamed(name string) (kind, bool) {
	i := slices.IndexFunc(allKinds, func(k kind) bool { return k.name == name })
	if i < 0 {
		return kind{}, false
	}
	return allKinds[i], true
}

// Kinds are the kinds of record that a bench understands, for journal.Verify
// and journal.NewFold.
func Kinds() map[string]journal.Kind {
	m := map[string]journal.Kind{
		markName:  {Newest: markVersion, Read: readMark},
		photoName: {Newest: photoVersion, Read: readPhoto},
	}
	for _, k := range allKinds {
		m[k.name] = journal.Kind{Newest: withdrawnVersion, Read: k.read}
	}
	return m
}

var (
	inPath   = strings.NewReplacer("%", "%25", "/", "%2F")
	fromPath = strings.NewReplacer("%25", "%", "%2F", "/")
)

// burnSubject names a burn by its trial and its id. The id holds no slash of
// its own, so that two burns never share a subject.
func burnSubject(title, id string) string { return title + "/" + inPath.Replace(id) }

// titleOf is the trial of a burn's subject.
func titleOf(subject string) string { return subject[:max(0, strings.LastIndexByte(subject, '/'))] }

// idOf is the burn's id in its subject.
func idOf(subject string) string {
	return fromPath.Replace(subject[strings.LastIndexByte(subject, '/')+1:])
}

// body forms the body of a record about the one thing in alone.
func (k kind) body(alone any) (json.RawMessage, error) {
	text, err := k.write(alone)
	if err != nil {
		return nil, err
	}
	return json.Marshal(body{Sheet: string(text)})
}

// read decodes a body into the value of its sheet, which holds one thing of the
// kind, or into withdrawn.
func (k kind) read(version int, raw json.RawMessage) (any, error) {
	var b body
	if err := json.Unmarshal(raw, &b); err != nil {
		return nil, fmt.Errorf("expected a body with a sheet in it: %w", err)
	}
	if version == withdrawnVersion {
		if !b.Withdrawn || b.Sheet != "" {
			return nil, errors.New("expected a body that withdraws a thing and says nothing else")
		}
		return withdrawn{}, nil
	}
	x, fs, err := k.parse([]byte(b.Sheet))
	if err != nil {
		return nil, err
	}
	for _, f := range fs {
		if f.Severity == finding.Fault {
			return nil, errors.New(f.String())
		}
	}
	switch x := x.(type) {
	case *trial.Trial:
		for i := range x.Burns {
			x.Burns[i].Where = finding.Place{} // in the record, which no person has before them
		}
		return x, k.holdsOne(x)
	case *sheet.Trip:
		if x.Title == "" {
			return nil, errors.New("expected a trip with a title, found none")
		}
	}
	return x, nil
}

// holdsOne says why t is more or less than one thing of the kind.
func (k kind) holdsOne(t *trial.Trial) error {
	if k.name == trialName {
		if t.Title == "" || len(t.Burns) > 0 {
			return fmt.Errorf("expected a trial with a title and without burns, found the title %q and %d burns", t.Title, len(t.Burns))
		}
		return nil
	}
	all := len(t.Entries) + len(burnKind.names(t))
	for _, g := range gearKinds {
		all += len(g.names(t))
	}
	if all != 1 || len(k.names(t)) != 1 || t.Title != "" {
		return fmt.Errorf("expected one %s and nothing else, found %d of it among %d things", k.name, len(k.names(t)), all)
	}
	return nil
}

// text is what a thing says, in one spelling: two things are the same when
// their texts are, whatever units their trials are kept in.
func (k kind) text(alone any) string {
	if t, ok := alone.(*trial.Trial); ok && k.name != trialName {
		same := *t
		same.Settings.System = quantity.Metric
		alone = &same
	}
	text, err := k.write(alone)
	if err != nil {
		return err.Error() // names the value that cannot be written, which is as good
	}
	return string(text)
}
