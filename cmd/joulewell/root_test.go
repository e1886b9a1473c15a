package main

import (
	"context"
	"log/slog"
	"slices"
	"strings"
	"testing"
)

// Every command refuses too few and too many arguments with its own line of use, and
// names what is too many.
func TestArgumentsAreRefusedByName(t *testing.T) {
	ended, end := context.WithCancel(t.Context())
	end() // so that a command that is not refused stops at once
	refuse := func(c string, args []string, parts ...string) {
		t.Helper()
		var out, complaint strings.Builder
		if status := run(ended, append([]string{c}, args...), &out, &complaint); status != 2 || out.Len() > 0 {
			t.Errorf("joulewell %s %q: status %d, prints %q: wrong usage must end with 2 and print nothing", c, args, status, out.String())
		}
		line, _, _ := strings.Cut(complaint.String(), "\n")
		for _, part := range parts {
			if !strings.Contains(line, part) {
				t.Errorf("joulewell %s %q: says %q, without %q", c, args, line, part)
			}
		}
	}
	for _, c := range commands(slog.New(slog.DiscardHandler)).Commands() {
		wanted := strings.Fields(c.Use)[1:]
		for n := range wanted {
			refuse(c.Name(), slices.Repeat([]string{"x.csv"}, n), c.Name()+": name ", "joulewell "+c.Use)
		}
		if !strings.HasSuffix(c.Use, "...") {
			args := append(slices.Repeat([]string{"x.csv"}, len(wanted)), "surplus")
			refuse(c.Name(), args, c.Name()+": surplus")
		}
	}
}
