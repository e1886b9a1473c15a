package drift

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// The format's description names the columns there are, and its example is the book that
// the tests read and write.
func TestReadme(t *testing.T) {
	text, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, table, _ := strings.Cut(string(text), "<!-- columns -->")
	table, _, _ = strings.Cut(table, "<!-- /columns -->")
	var named []string
	for _, row := range regexp.MustCompile("(?m)^\\| `([a-zA-Z_]+)`").FindAllStringSubmatch(table, -1) {
		named = append(named, row[1])
	}
	if !slices.Equal(named, columns(Newtons)) {
		t.Errorf("described are %v, written %v", named, columns(Newtons))
	}
	if !strings.Contains(string(text), "```csv\n"+book+"```\n") {
		t.Error("the example is not the book of the tests")
	}
}
