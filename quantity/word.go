package quantity

import (
	"fmt"
	"slices"
	"strings"
)

// Word is one word of a small vocabulary, with the other ways of writing it.
type Word[T ~string] struct {
	Kept T
	Also []string
}

// Words makes a vocabulary of words that are written one way only.
func Words[T ~string](kept ...T) []Word[T] {
	ws := make([]Word[T], len(kept))
	for i, k := range kept {
		ws[i] = Word[T]{Kept: k}
	}
	return ws
}

// ParseWord finds the word that was meant by s; case, hyphens, underscores and
// spaces do not matter. The error names what was asked for and lists the words.
func ParseWord[T ~string](what, s string, words []Word[T]) (T, error) {
	known := make([]string, len(words))
	for i, w := range words {
		known[i] = string(w.Kept)
		if plainWord(s) == plainWord(string(w.Kept)) || slices.ContainsFunc(w.Also, func(a string) bool { return plainWord(s) == plainWord(a) }) {
			return w.Kept, nil
		}
	}
	return "", fmt.Errorf("%s %q is not known: expected one of %s", what, s, strings.Join(known, ", "))
}

func plainWord(s string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(s), func(r rune) bool {
		return r == ' ' || r == '-' || r == '_' || r == '\t'
	}), " ")
}
