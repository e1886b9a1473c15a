package webui_test

import (
	"bytes"
	"compress/zlib"
	"context"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"joulewell/daq/virtual"
	"joulewell/daq/workup/proof"
)

// TestReportOnPaper opens the report of a run in a real browser, whatever the system's
// colours, and prints it on both usual papers.
func TestReportOnPaper(t *testing.T) {
	b, console := openTab(t)
	dir := t.TempDir()
	proof.Record(t, dir, "tamar", "../testdata/recordings/tamar-drop", nil)
	d := startDemo(t, "127.0.0.1:0", dir, virtual.Default())
	b.shape(1000, 1400, &emulation.MediaFeature{Name: "prefers-color-scheme", Value: "dark"})
	b.do(chromedp.Navigate("http://" + d.address + "/api/runs/tamar/report"))
	b.breaches("report")
	if ground := get[string](b, `getComputedStyle(document.body).backgroundColor`); ground != "rgb(255, 255, 255)" {
		t.Errorf("paper is %s where the system is dark", ground)
	}
	if drawn := get[float64](b, `[...document.querySelectorAll('figure svg')].filter((s) => s.getBoundingClientRect().height > 100 && s.querySelector('text')).length`); drawn != 4 {
		t.Errorf("%v figures are seen with their letters", drawn)
	}
	b.picture("report")
	b.shape(320, 800)
	b.breaches("report on a telephone")
	if wide := get[float64](b, `Math.max(...[...document.querySelectorAll('p, li, h2, h3, pre, figure')].map((e) => e.getBoundingClientRect().right))`); wide > 320 {
		t.Errorf("on a telephone the words reach to %v px", wide)
	}
	letters := get[float64](b, `document.body.innerText.replace(/\s+/g, ' ').length`)
	for name, paper := range map[string]chromedp.PaperSize{"A4": chromedp.PaperA4, "Letter": chromedp.PaperLetter} {
		pdf := printed(b, paper)
		if dir := os.Getenv("JOULEWELL_ARTEFACTS"); dir != "" {
			if err := os.WriteFile(filepath.Join(dir, "report-"+name+".pdf"), pdf, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		pages := len(regexp.MustCompile(`/Type\s*/Page\b[^s]`).FindAll(pdf, -1))
		if pages < 3 || pages > 8 {
			t.Errorf("%s: %d pages", name, pages)
		}
		// Letters that are written, not drawn, can be searched and read aloud.
		if n := glyphs(t, pdf); float64(n) < 0.95*letters || float64(n) > 1.2*letters {
			t.Errorf("%s: %d letters are written on paper, %v on the screen", name, n, letters)
		}
	}
	if lines := console.complaints(); len(lines) > 0 {
		t.Errorf("the console holds:\n%s", strings.Join(lines, "\n"))
	}
}

func printed(b tab, paper chromedp.PaperSize) []byte {
	b.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	pdf, err := chromedp.Run(ctx, chromedp.PrintToPDF(chromedp.PDFPaper(paper)))
	if err != nil {
		b.Fatal(err)
	}
	return pdf
}

var (
	stream = regexp.MustCompile(`(?s)stream\r?\n(.*?)endstream`)
	shown  = regexp.MustCompile(`<([0-9A-Fa-f]+)>\s*Tj|\[([^\]]*)\]\s*TJ`)
	hex    = regexp.MustCompile(`<([0-9A-Fa-f]+)>`)
)

// glyphs counts the letters that a PDF writes: strings of two bytes a glyph, as Chromium
// makes them, before the operators Tj and TJ (ISO 32000-1, 9.4.3; from memory).
func glyphs(t *testing.T, pdf []byte) int {
	t.Helper()
	n := 0
	for _, m := range stream.FindAllSubmatch(pdf, -1) {
		z, err := zlib.NewReader(bytes.NewReader(m[1]))
		if err != nil {
			continue // a stream of another kind
		}
		content, _ := io.ReadAll(z)
		for _, s := range shown.FindAll(content, -1) {
			for _, h := range hex.FindAllSubmatch(s, -1) {
				n += len(h[1]) / 4
			}
		}
	}
	return n
}
