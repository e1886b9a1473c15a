package paper

import (
	"html"
	"regexp"
	"strings"
	"testing"
)

// namespaces name a vocabulary, and nobody fetches them.
var namespaces = regexp.MustCompile(`xmlns(:xlink)?="http://www\.w3\.org/[a-zA-Z0-9/]+"`)

var (
	outside = regexp.MustCompile(`(?i)https?:|//[a-z0-9]|<script|<link|<img|<iframe|<object|javascript:|@import|url\(|\son[a-z]+=`)
	level   = regexp.MustCompile(`<h([1-6])\b`)
	cell    = regexp.MustCompile(`<th\b[^>]*>`)
)

// keepsToItself fails where a page needs something besides itself, or where a reader who
// does not see it is led astray: no language, headings that skip a level, bare header cells.
func keepsToItself(t *testing.T, name, text string) {
	t.Helper()
	if m := outside.FindString(namespaces.ReplaceAllString(text, "")); m != "" {
		t.Errorf("%s: not by itself: %q", name, m)
	}
	if !strings.Contains(text, `content="`+html.EscapeString(Policy)+`"`) {
		t.Errorf("%s: no content security policy", name)
	}
	if !strings.HasPrefix(text, "<!doctype html>\n<html lang=\"en\">") {
		t.Errorf("%s: no language", name)
	}
	last := "0"
	for _, m := range level.FindAllStringSubmatch(text, -1) {
		if m[1][0] > last[0]+1 {
			t.Errorf("%s: a heading of level %s follows one of level %s", name, m[1], last)
		}
		last = m[1]
	}
	for _, h := range cell.FindAllString(text, -1) {
		if !strings.Contains(h, "scope=") {
			t.Errorf("%s: header cell %s does not say what it heads", name, h)
		}
	}
}
