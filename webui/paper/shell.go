package paper

import (
	"regexp"
	"strings"
)

var plain = regexp.MustCompile(`^[A-Za-z0-9_./:,%+@=-]+$`)

// Quoted writes a word of a command so that a POSIX shell reads it as it is.
func Quoted(word string) string {
	if plain.MatchString(word) {
		return word
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}
