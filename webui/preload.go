package webui

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"path"
	"regexp"
	"slices"
)

// A page's script names further ones, which name further ones: a browser that finds them
// one by one asks four times in turn before it has them all. So each page is served with
// the names of all of them in its head. They are named below a version, which changes when
// any of them does: a browser that has them need not even ask whether they are still good.

var (
	scriptOfPage = regexp.MustCompile(`(?m)^ *<script type="module" src="/assets/([^"]+)"></script>\n`)
	namedModule  = regexp.MustCompile(`(?m)^(?:import|export)\s(?:[^';]*\sfrom\s)?'\./([^']+)'`)
)

const versionLength = 16 // [characters]

// prepare names in every page all the scripts that its own leads to, and everything by its
// version. It fails where a script that is named does not exist.
func (p *pages) prepare() error {
	all := sha256.New()
	for _, name := range slices.Sorted(maps.Keys(p.files)) {
		if path.Ext(name) != ".html" {
			fmt.Fprintln(all, name, p.files[name].etag)
		}
	}
	p.version = hex.EncodeToString(all.Sum(nil))[:versionLength]
	for name, f := range p.files {
		if path.Ext(name) != ".html" {
			continue
		}
		data, err := p.nameModules(name, f.data)
		if err != nil {
			return fmt.Errorf("load page file %w", err)
		}
		f.data = bytes.ReplaceAll(data, []byte(`"/assets/`), []byte(`"/assets/`+p.version+"/"))
		f.etag = tag(f.data)
	}
	return nil
}

// nameModules puts behind the script of a page what it leads to, as links of the relation
// modulepreload (HTML standard).
func (p *pages) nameModules(name string, page []byte) ([]byte, error) {
	at := scriptOfPage.FindSubmatchIndex(page)
	if at == nil {
		return page, nil
	}
	found := []string{}
	if err := p.follow(string(page[at[2]:at[3]]), name, &found); err != nil {
		return nil, err
	}
	var links bytes.Buffer
	for _, s := range found[1:] {
		fmt.Fprintf(&links, "  <link rel=\"modulepreload\" href=\"/assets/%s\">\n", s)
	}
	return slices.Concat(page[:at[1]], links.Bytes(), page[at[1]:]), nil
}

// follow adds a script and all that it leads to, each once.
func (p *pages) follow(script, from string, found *[]string) error {
	if slices.Contains(*found, script) {
		return nil
	}
	f, ok := p.files[script]
	if !ok {
		return fmt.Errorf("%s: it names the script %s, which is not there", from, script)
	}
	*found = append(*found, script)
	for _, m := range namedModule.FindAllSubmatch(f.data, -1) {
		if err := p.follow(path.Join(path.Dir(script), string(m[1])), script, found); err != nil {
			return err
		}
	}
	return nil
}
