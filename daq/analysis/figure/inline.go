package figure

import (
	"bytes"
	"fmt"
	"html"
	"regexp"
)

var (
	opening  = regexp.MustCompile(`(?s)^.*?<svg [^>]*viewBox="([^"]*)"[^>]*>\n`)
	typeface = regexp.MustCompile(`\n\tstyle="font-family:[^;]*;font-variant:normal;font-weight:normal;font-style:normal;`)
)

// Inline returns d as an element for a page, which says what it shows and carries no
// prolog; the page chooses the font and the width. The id must be the element's alone.
func (d *Drawing) Inline(id string) []byte {
	view := opening.FindSubmatch(d.SVG)
	if view == nil {
		return nil
	}
	var b bytes.Buffer
	fmt.Fprintf(&b, "<svg id=\"%s\" viewBox=\"%s\" role=\"img\" aria-labelledby=\"%s-says\">\n<title id=\"%s-says\">%s</title>\n",
		id, view[1], id, id, html.EscapeString(d.Says))
	b.Write(typeface.ReplaceAll(d.SVG[len(view[0]):], []byte(` style="`)))
	return b.Bytes()
}
