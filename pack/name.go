package pack

import (
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// longest is how many bytes a path may have: every system takes as many, with
// room for the folder that the pack is laid into.
const longest = 160

// plain are the characters of names in a pack. They mean nothing to a shell, a
// page, a checksum list or any file system, and look the same everywhere.
func plain(r rune) bool {
	return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("._-/", r)
}

// devices are names that one common system takes for a device, whatever follows
// the dot. Source: Microsoft Learn, "Naming Files, Paths, and Namespaces"
// (from memory).
var devices = []string{"con", "prn", "aux", "nul",
	"com1", "com2", "com3", "com4", "com5", "com6", "com7", "com8", "com9",
	"lpt1", "lpt2", "lpt3", "lpt4", "lpt5", "lpt6", "lpt7", "lpt8", "lpt9"}

// checkName refuses a path that a pack may not list.
func checkName(path string) error {
	if err := checkHarmless(path); err != nil {
		return err
	}
	if i := strings.IndexFunc(path, func(r rune) bool { return !plain(r) }); i >= 0 {
		return fmt.Errorf("file %q has the character %q, expected letters a to z, digits, dot, dash and underscore", path, []rune(path[i:])[0])
	}
	for part := range strings.SplitSeq(path, "/") {
		stem, _, _ := strings.Cut(strings.ToLower(part), ".")
		switch {
		case slices.Contains(devices, stem):
			return fmt.Errorf("file %q has the name of a device, expected another name", path)
		case strings.HasPrefix(part, ".") || strings.HasPrefix(part, "-") || strings.HasSuffix(part, "."):
			return fmt.Errorf("file %q has a part that begins with a dot or a dash or ends with a dot, expected a letter or a digit", path)
		}
	}
	return nil
}

// checkHarmless refuses a path that no honest pack has, listed or not: one that
// leaves the pack, or that a page, a terminal or a file system could take for
// something else.
func checkHarmless(path string) error {
	odd := func(r rune) bool {
		return unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Zl, r) || unicode.Is(unicode.Zp, r) ||
			strings.ContainsRune("<>\"'`&|*?:\\$;", r)
	}
	switch i := strings.IndexFunc(path, odd); {
	case !utf8.ValidString(path):
		return fmt.Errorf("file %q has a name that is no UTF-8, expected letters a to z, digits, dot, dash and underscore", path)
	case len(path) > longest:
		return fmt.Errorf("file %.40q… has a name of %d bytes, expected at most %d", path, len(path), longest)
	case strings.HasPrefix(path, "/"):
		return fmt.Errorf("file %q has a path from the root of a disk, expected one from the root of the pack", path)
	case i >= 0:
		return fmt.Errorf("file %q has the character %q, expected letters a to z, digits, dot, dash and underscore", path, []rune(path[i:])[0])
	case !fs.ValidPath(path) || path == ".":
		return fmt.Errorf("file %q has a path that leaves the pack or names nothing, expected parts with a name, without \"..\"", path)
	}
	return nil
}
