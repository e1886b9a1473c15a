package paper

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io"
)

//go:embed *.html *.css
var files embed.FS

// Policy keeps a page to itself, whatever was written into it: no script, nothing from
// elsewhere. Styles are the page's own; those of figures stand in attributes.
const Policy = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"

// write fills the page of a name. It writes all of it or, where filling fails, nothing.
func write(w io.Writer, name string, data any) error {
	styles := func(names ...string) (template.CSS, error) {
		var all []byte
		for _, n := range names {
			css, err := files.ReadFile(n)
			if err != nil {
				return "", err
			}
			all = append(all, css...)
		}
		return template.CSS(all), nil
	}
	t, err := template.New("").Funcs(template.FuncMap{
		"styles": styles,
		"policy": func() string { return Policy },
	}).ParseFS(files, "*.html")
	if err != nil {
		return fmt.Errorf("make the page %s: %w", name, err)
	}
	var page bytes.Buffer
	if err := t.ExecuteTemplate(&page, name, data); err != nil {
		return fmt.Errorf("make the page %s: %w", name, err)
	}
	_, err = page.WriteTo(w)
	return err
}
