package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// What the README and DEVELOPERS.md name must be there: commands, options, files.
func TestDocumentsNameWhatIsThere(t *testing.T) {
	help := map[string]string{}
	for _, command := range []string{"demo", "serve", "virtual", "ports", "replay", "version", "balance", "plan", "analyse", "calibrate", "drift", "trials", "report", "worksheet", "mark", "gather", "forget", "doctor"} {
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
