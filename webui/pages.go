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
	"strings"
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
type pages struct {
	files   map[string]*pageFile
	version string // of all that is no page
}

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
	p := &pages{files: map[string]*pageFile{}}
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
		p.files[name] = &pageFile{data, typ, tag(data)}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return p, p.prepare()
}

// tag is the entity tag of a file (RFC 9110).
func tag(data []byte) string {
	sum := sha256.Sum256(data)
	return `"` + hex.EncodeToString(sum[:16]) + `"`
}

// page serves one page at a path of its own.
func (p *pages) page(name string) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) { p.send(w, r, name, askEachTime) }
}

// asset serves what pages consist of. What a browser has asked for by its version it need
// never ask for again; a page from before the daemon was renewed gets what there is now.
func (p *pages) asset(w http.ResponseWriter, r *http.Request) {
	name, keep := r.PathValue("name"), askEachTime
	if version, rest, found := strings.Cut(name, "/"); found && len(version) == versionLength {
		name = rest
		if version == p.version {
			keep = forGood
		}
	}
	p.send(w, r, name, keep)
}

// How long a browser may keep a file (RFC 9111, RFC 8246).
const (
	askEachTime = "no-cache" // the ETag makes that cheap
	forGood     = "max-age=31536000, immutable"
)

func (p *pages) send(w http.ResponseWriter, r *http.Request, name, keep string) {
	f, ok := p.files[name]
	if !ok {
		http.NotFound(w, r)
		return
	}
	h := w.Header()
	h.Set("Content-Type", f.typ)
	h.Set("ETag", f.etag)
	h.Set("Cache-Control", keep)
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(f.data))
}
