package webui

import (
	"bytes"
	"fmt"
	"path"
	"regexp"
	"slices"
)

// A page's script names further ones, which name further ones: a browser that finds them
// one by one asks four times in turn before it has them all. So each page is served with
// the names of all of them in its head.

var (
	scriptOfPage = regexp.MustCompile(`(?m)^ *<script type="module" src="/assets/([^"]+)"></script>\n`)
	namedModule  = regexp.MustCompile(`(?m)^(?:import|export)\s(?:[^';]*\sfrom\s)?'\./([^']+)'`)
)

// nameModules puts before the script of a page what it leads to, as links of the relation
// modulepreload (HTML standard). It fails where something that is named does not exist.
func nameModules(name string, page []byte, read func(name string) ([]byte, error)) ([]byte, error) {
	at := scriptOfPage.FindSubmatchIndex(page)
	if at == nil {
		return page, nil
	}
	script := string(page[at[2]:at[3]])
	found := []string{}
	if err := follow(script, name, read, &found); err != nil {
		return nil, err
	}
	var links bytes.Buffer
	for _, s := range found[1:] {
		fmt.Fprintf(&links, "  <link rel=\"modulepreload\" href=\"/assets/%s\">\n", s)
	}
	return slices.Concat(page[:at[1]], links.Bytes(), page[at[1]:]), nil
}

// follow adds a script and all that it leads to, each once.
func follow(script, from string, read func(string) ([]byte, error), found *[]string) error {
	if slices.Contains(*found, script) {
		return nil
	}
	text, err := read(script)
	if err != nil {
		return fmt.Errorf("%s names a script that cannot be read: %w", from, err)
	}
	*found = append(*found, script)
	for _, m := range namedModule.FindAllSubmatch(text, -1) {
		if err := follow(path.Join(path.Dir(script), string(m[1])), script, read, found); err != nil {
			return err
		}
	}
	return nil
}
