package pack

import (
	"fmt"
	"io/fs"
	"strings"

	"fairburn/finding"
)

// refuse says what no honest pack has, judged by names, kinds and stated sizes
// alone. Any of it, and nothing is opened.
func refuse(ms []member, l Limits) []finding.Finding {
	if len(ms) > l.Files {
		return []finding.Finding{refused("pack_too_many", "", fmt.Sprintf("there are more than %d files, expected fewer", l.Files), "")}
	}
	var found []finding.Finding
	seen := map[string]string{}
	total := uint64(0)
	for _, m := range ms {
		if f, bad := m.refuse(l); bad {
			found = append(found, f)
		}
		lower := strings.ToLower(m.path)
		switch other, ok := seen[lower]; {
		case ok && other == m.path:
			found = append(found, refused("pack_name_twice", m.path, fmt.Sprintf("file %q is there twice, expected once: which of the two is meant, nobody can tell", m.path), ""))
		case ok:
			found = append(found, refused("pack_name_case", m.path,
				fmt.Sprintf("files %q and %q differ only by the case of letters, expected more: on many disks one would take the other's place", other, m.path), ""))
		}
		seen[lower] = m.path
		total += min(m.bytes, uint64(l.Total)) // so that the sum cannot run over
	}
	if total > uint64(l.Total) {
		found = append(found, refused("pack_too_large", "", fmt.Sprintf("the files have more than %d bytes together, expected fewer", l.Total), ""))
	}
	return found
}

// refuse judges one file or folder by itself.
func (m member) refuse(l Limits) (finding.Finding, bool) {
	if err := checkHarmless(m.path); err != nil {
		return refused("pack_name", m.path, err.Error(), ""), true
	}
	switch {
	case !m.mode.IsRegular() && !m.mode.IsDir():
		return refused("pack_link_or_device", m.path, fmt.Sprintf("%q is a %s, expected a file", m.path, kindOf(m.mode)), ""), true
	case m.mode.IsDir():
		return finding.Finding{}, false
	case m.bytes > uint64(l.File):
		return refused("pack_too_large", m.path, fmt.Sprintf("file %q has %d bytes, expected at most %d", m.path, m.bytes, l.File), ""), true
	case m.bytes > smallestBomb && m.bytes/uint64(l.Ratio) > m.packed:
		return refused("pack_bomb", m.path,
			fmt.Sprintf("file %q has %d bytes packed into %d, expected at most %d to one: it is made to fill a disk", m.path, m.bytes, m.packed, l.Ratio), ""), true
	}
	return finding.Finding{}, false
}

func refused(code, at, sentence, remedy string) finding.Finding {
	if remedy == "" {
		remedy = "do not unpack it; ask who published it for a pack made by fairburn"
	}
	if at != "" && checkHarmless(at) != nil {
		at = fmt.Sprintf("%.*q", longest, at) // a terminal must not obey it
	}
	return finding.Finding{Code: code, Severity: finding.Fault, Where: finding.Place{File: at}, Sentence: sentence, Remedy: remedy}
}

// kindOf is what a file that is none is, in words.
func kindOf(mode fs.FileMode) string {
	switch {
	case mode&fs.ModeSymlink != 0:
		return "link"
	case mode&fs.ModeDir != 0:
		return "folder"
	case mode&(fs.ModeDevice|fs.ModeCharDevice) != 0:
		return "device"
	case mode&fs.ModeNamedPipe != 0:
		return "pipe"
	case mode&fs.ModeSocket != 0:
		return "socket"
	}
	return "thing of another kind"
}
