package webui

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"io/fs"
	"net/http"
	"path"
	"time"
)

//go:embed pages
var embedded embed.FS

// mediaTypes holds every kind of file that a page may consist of. They are stated
// exactly, as browsers are told not to guess.
var mediaTypes = map[string]string{
	".html":  "text/html; charset=utf-8",
	".css":   "text/css; charset=utf-8",
	".js":    "text/javascript; charset=utf-8",
	".json":  "application/json",
	".svg":   "image/svg+xml",
	".png":   "image/png",
	".woff2": "font/woff2",
}

// pages are the files that browsers load, by their path below the folder pages.
type pages struct{ files map[string]*pageFile }

type pageFile struct {
	data []byte
	typ  string
	etag string
}

func loadPages() (*pages, error) {
	root, err := fs.Sub(embedded, "pages")
	if err != nil {
		return nil, err
	}
	return readPages(root)
}

func readPages(root fs.FS) (*pages, error) {
	p := &pages{map[string]*pageFile{}}
	err := fs.WalkDir(root, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		typ, ok := mediaTypes[path.Ext(name)]
		if !ok {
			return fmt.Errorf("load page file %s: no media type is known for %q", name, path.Ext(name))
		}
		data, err := fs.ReadFile(root, name)
		if err != nil {
			return err
		}
		if typ == mediaTypes[".html"] {
			data, err = nameModules(name, data, func(script string) ([]byte, error) { return fs.ReadFile(root, script) })
			if err != nil {
				return fmt.Errorf("load page file %w", err)
			}
		}
		sum := sha256.Sum256(data)
		p.files[name] = &pageFile{data, typ, `"` + hex.EncodeToString(sum[:16]) + `"`}
		return nil
	})
	return p, err
}

// page serves one page at a path of its own.
func (p *pages) page(name string) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) { p.send(w, r, name) }
}

// asset serves what pages consist of.
func (p *pages) asset(w http.ResponseWriter, r *http.Request) {
	p.send(w, r, r.PathValue("name"))
}

func (p *pages) send(w http.ResponseWriter, r *http.Request, name string) {
	f, ok := p.files[name]
	if !ok {
		http.NotFound(w, r)
		return
	}
	h := w.Header()
	h.Set("Content-Type", f.typ)
	h.Set("ETag", f.etag)
	h.Set("Cache-Control", "no-cache") // keep it, but ask each time: the ETag makes that cheap
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(f.data))
}
