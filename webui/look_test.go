package webui_test

import (
	"bytes"
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"math"
	"strings"
)

// look is what a page looks like from far away: a grid of cells, each with how much in it
// differs from the ground. Digits may change in it, and a few letters run on; a part that
// is missing, covered or out of its place, and another ground, may not.
type look struct {
	ground float64   // luminance, 0 to 1
	cells  [][]uint8 // row by row, 0 to 9
}

// inks are the marks of a cell, from nothing but ground to full.
const inks = " .:-=+*#%@"

// lookOf reduces a picture to cells of so many pixels.
func lookOf(data []byte, cell int) (look, error) {
	picture, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		return look{}, err
	}
	box := picture.Bounds()
	pixels := image.NewRGBA(box)
	draw.Draw(pixels, box, picture, box.Min, draw.Src)
	return reduce(pixels, cell), nil
}

func reduce(picture *image.RGBA, cell int) look {
	light := func(x, y int) int { // weights of ITU-R BT.709, from memory
		p := picture.Pix[picture.PixOffset(x, y):]
		return (54*int(p[0]) + 183*int(p[1]) + 19*int(p[2])) / 256
	}
	box := picture.Bounds()
	ground := light(box.Min.X+1, box.Min.Y+1) // margins are ground
	l := look{ground: float64(ground) / 255}
	for y := box.Min.Y; y+cell <= box.Max.Y; y += cell {
		var row []uint8
		for x := box.Min.X; x+cell <= box.Max.X; x += cell {
			sum := 0
			for i := range cell * cell {
				d := light(x+i%cell, y+i/cell) - ground
				sum += max(d, -d)
			}
			// The root tells a hair line from nothing.
			row = append(row, uint8(math.Round(9*math.Sqrt(float64(sum)/255/float64(cell*cell)))))
		}
		l.cells = append(l.cells, row)
	}
	return l
}

func (l look) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "ground %.2f\n", l.ground)
	for _, row := range l.cells {
		var line []byte
		for _, v := range row {
			line = append(line, inks[v])
		}
		b.WriteString("|" + string(line) + "|\n")
	}
	return b.String()
}

func parseLook(text string) (l look, err error) {
	head, rows, _ := strings.Cut(text, "\n")
	if _, err := fmt.Sscanf(head, "ground %g", &l.ground); err != nil {
		return look{}, fmt.Errorf("%q: %w", head, err)
	}
	for line := range strings.Lines(rows) {
		line = strings.TrimSuffix(strings.TrimPrefix(strings.TrimSuffix(line, "\n"), "|"), "|")
		row := make([]uint8, len(line))
		for i := range line {
			row[i] = uint8(max(0, strings.IndexByte(inks, line[i])))
		}
		l.cells = append(l.cells, row)
	}
	return l, nil
}

// unlike says where l differs from what is wanted, or nothing: another ground, another
// height, or more than one cell in a hundred that holds more or less than its like and
// their neighbours to the left and right do, by two steps or more.
func (l look) unlike(want look) string {
	if math.Abs(l.ground-want.ground) > 0.03 {
		return fmt.Sprintf("the ground has luminance %.2f, want %.2f", l.ground, want.ground)
	}
	if d := len(l.cells) - len(want.cells); d < -1 || d > 1 || len(l.cells) == 0 || len(want.cells) == 0 {
		return fmt.Sprintf("%d rows of cells, want %d", len(l.cells), len(want.cells))
	}
	var off, all int
	var chart strings.Builder
	for y := range min(len(l.cells), len(want.cells)) {
		row, like := l.cells[y], want.cells[y]
		for x, v := range row[:min(len(row), len(like))] {
			near := like[max(0, x-1):min(len(like), x+2)]
			low, high := near[0], near[0]
			for _, n := range near {
				low, high = min(low, n), max(high, n)
			}
			all++
			if v+1 < low || v > high+1 {
				off++
				chart.WriteByte('X')
			} else {
				chart.WriteByte(inks[v])
			}
		}
		chart.WriteByte('\n')
	}
	if 100*off <= all {
		return ""
	}
	return fmt.Sprintf("%d of %d cells are off, marked X:\n%s", off, all, chart.String())
}
