package pack

import "cmp"

// Change is what became of one file since the edition before.
type Change struct {
	Path string `json:"path"`
	What What   `json:"what"`
	Was  string `json:"was,omitempty"` // SHA-256 in the edition before
	Is   string `json:"is,omitempty"`  // SHA-256 in this one
}

// What is the kind of a change.
type What string

// The kinds.
const (
	Added   What = "added"
	Changed What = "changed"
	Removed What = "removed"
)

// supersede sets the edition, what it takes the place of and what became of
// every file.
func (m *Manifest) supersede(earlier *Pack) {
	if earlier == nil {
		return
	}
	m.Edition = earlier.Edition + 1
	m.First = cmp.Or(earlier.First, earlier.Sum())
	m.Supersedes = &Edition{earlier.Edition, earlier.Made, earlier.Sum()}
	m.Changes = changes(earlier.List, m.List)
}

// changes compares two lists, both in the order of their paths.
func changes(was, is []Listed) []Change {
	var cs []Change
	for len(was) > 0 || len(is) > 0 {
		switch {
		case len(is) == 0 || len(was) > 0 && was[0].Path < is[0].Path:
			cs = append(cs, Change{Path: was[0].Path, What: Removed, Was: was[0].SHA256})
			was = was[1:]
		case len(was) == 0 || is[0].Path < was[0].Path:
			cs = append(cs, Change{Path: is[0].Path, What: Added, Is: is[0].SHA256})
			is = is[1:]
		default:
			if was[0].SHA256 != is[0].SHA256 {
				cs = append(cs, Change{is[0].Path, Changed, was[0].SHA256, is[0].SHA256})
			}
			was, is = was[1:], is[1:]
		}
	}
	return cs
}
