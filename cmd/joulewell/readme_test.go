package main

import (
	"log/slog"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// What the README and DEVELOPERS.md name must be there: commands, options, files.
func TestDocumentsNameWhatIsThere(t *testing.T) {
	help := map[string]string{}
	for _, c := range commands(slog.New(slog.DiscardHandler)).Commands() {
		command := c.Name()
		var out, complaint strings.Builder
		if status := run(t.Context(), []string{command, "--help"}, &out, &complaint); status == 0 && strings.Contains(out.String(), "joulewell "+command) {
			help[command] = out.String()
		}
	}
	command := regexp.MustCompile("(?m)(?:`|^\\$ |cmd/)joulewell ([a-z]+)((?: [^`\n]*)?)")
	option := regexp.MustCompile(`--[a-z]+`)
	link := regexp.MustCompile(`\]\(([^)#]+)\)`)
	for _, name := range []string{"README.md", "DEVELOPERS.md"} {
		text, err := os.ReadFile(filepath.Join("..", "..", name))
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range command.FindAllStringSubmatch(string(text), -1) {
			usage, known := help[m[1]]
			if !known {
				t.Errorf("%s names %q: there is no such command", name, strings.TrimSpace(m[0]))
				continue
			}
			for _, o := range option.FindAllString(m[2], -1) {
				if !strings.Contains(usage, o) {
					t.Errorf("%s names %s %s: there is no such option", name, m[1], o)
				}
			}
		}
		for _, m := range link.FindAllStringSubmatch(string(text), -1) {
			if _, err := os.Stat(filepath.Join("..", "..", m[1])); err != nil {
				t.Errorf("%s links to %s: %v", name, m[1], err)
			}
		}
	}
	if len(help) < 6 {
		t.Errorf("only %d commands explain themselves", len(help))
	}
}

// Every test that the README's table of promises names must be there, in the package that
// stands before it where one does.
func TestPromisesAreHeldByTests(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	_, table, _ := strings.Cut(string(text), "| promise | held by |")
	table, _, _ = strings.Cut(table, "\n## ")
	there := map[string][]string{} // folders by name of the test
	declared := regexp.MustCompile(`(?m)^func (Test\w+)\(`)
	err = filepath.WalkDir(filepath.Join("..", ".."), func(path string, d os.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		source, err := os.ReadFile(path)
		for _, m := range declared.FindAllStringSubmatch(string(source), -1) {
			there[m[1]] = append(there[m[1]], filepath.ToSlash(filepath.Dir(path)))
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	row := regexp.MustCompile(`(?m)^\| ([^|]+) \| ([^|]+) \|$`)
	named := regexp.MustCompile("(?:`([a-z/]+)` )?(Test\\w+)")
	rows := row.FindAllStringSubmatch(table, -1)
	for _, r := range rows {
		tests := named.FindAllStringSubmatch(r[2], -1)
		if len(tests) == 0 && r[1] != "---" {
			t.Errorf("no test holds that %s", r[1])
		}
		for _, n := range tests {
			found := there[n[2]] != nil && n[1] == ""
			for _, folder := range there[n[2]] {
				found = found || strings.HasSuffix(folder, "/"+n[1])
			}
			if !found {
				t.Errorf("%s: there is no %s in %q, but in %v", r[1], n[2], n[1], there[n[2]])
			}
		}
	}
	if len(rows) < 12 {
		t.Errorf("only %d promises", len(rows))
	}
}
