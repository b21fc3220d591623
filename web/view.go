package web

import (
	"net/http"
	"sync"

	"fairburn/finding"
	"fairburn/quantity"
	"fairburn/trial"
	"fairburn/verdict"
)

// view is a trial as it stands, worked out once and kept until it changes.
// Nothing in it is ever changed.
type view struct {
	*trial.Trial
	version uint64
	found   []finding.Finding // in putting it together

	reduce  sync.Once
	reduced *trial.Reduced
	judge   sync.Once
	verdict *verdict.Verdict

	mu    sync.Mutex
	parts map[string]any // by name, the functions that give what pages rendered or worked out
}

// views keeps the views of the trials asked for last.
type views struct {
	mu   sync.Mutex
	list []*view // the one asked for last at the end
}

// kept is how many trials stay worked out. With all its pages in both units one of 40
// burns takes 4 to 9 MB, so that all take up to about 145 MB.
const kept = 16

// keptPages is how many pages of what is not one trial's stay rendered.
const keptPages = 32

// view returns the trial as it stands.
func (s *Site) view(title string) (*view, error) {
	s.views.mu.Lock()
	defer s.views.mu.Unlock()
	version := s.Bench.Version(title) // not before: an old one would put a newer view out
	for i, v := range s.views.list {
		if v.Title != title {
			continue
		}
		s.views.list = append(s.views.list[:i], s.views.list[i+1:]...)
		if v.version == version {
			s.views.list = append(s.views.list, v)
			return v, nil
		}
		break
	}
	t, fs, err := s.Bench.Trial(title)
	if err != nil {
		return nil, err
	}
	v := &view{Trial: t, version: version, found: fs, parts: map[string]any{}}
	s.views.list = append(s.views.list, v)
	if len(s.views.list) > kept {
		s.views.list = s.views.list[1:]
	}
	return v, nil
}

// shown returns the trial of a request in the units of whoever asks.
func (s *Site) shown(r *http.Request) (*view, error) {
	v, err := s.view(r.PathValue("title"))
	if err != nil {
		return nil, err
	}
	return v.in(system(r, v.Settings.System)), nil
}

// in is the view in other units, with a reduction and a verdict of its own: what
// they say has units too.
func (v *view) in(sys quantity.System) *view {
	if sys == v.Units() {
		return v
	}
	other, _ := part(v, "in "+sys.String(), func() (*view, error) {
		return &view{Trial: v.Trial.In(sys), version: v.version, found: v.found, parts: map[string]any{}}, nil
	})
	return other
}

// Reduced returns the trial with every burn reduced.
func (v *view) Reduced() *trial.Reduced {
	v.reduce.Do(func() {
		v.reduced = v.Trial.Reduce()
		v.reduced.Findings = append(v.found[:len(v.found):len(v.found)], v.reduced.Findings...)
	})
	return v.reduced
}

// Verdict returns the verdict on it.
func (v *view) Verdict() *verdict.Verdict {
	v.judge.Do(func() { v.verdict = verdict.Judge(v.Reduced()) })
	return v.verdict
}

// part returns what make made of the view the first time it was asked for under
// a name. Who asks for the same while it
// is made waits for it, and nobody else: a verdict takes seconds, and the page
// beside the flame has no time. What failed is made anew the next time.
func part[T any](v *view, name string, make func() (T, error)) (T, error) {
	v.mu.Lock()
	made, ok := v.parts[name].(func() (T, error))
	if !ok {
		made = sync.OnceValues(make)
		v.parts[name] = made
	}
	v.mu.Unlock()
	x, err := made()
	if err != nil {
		v.mu.Lock()
		delete(v.parts, name)
		v.mu.Unlock()
	}
	return x, err
}

// untilChanged keeps pages of all that is on the bench until something
// is recorded or erased.
type untilChanged[K comparable, V any] struct {
	mu      sync.Mutex
	version uint64
	pages   map[K]V
}

// page returns what make made of a page the first time it was asked for.
func (u *untilChanged[K, V]) page(version uint64, key K, make func() (V, error)) (V, error) {
	u.mu.Lock()
	defer u.mu.Unlock()
	if u.version != version || u.pages == nil || len(u.pages) >= keptPages {
		u.version, u.pages = version, map[K]V{}
	}
	if p, ok := u.pages[key]; ok {
		return p, nil
	}
	p, err := make()
	if err == nil {
		u.pages[key] = p
	}
	return p, err
}
