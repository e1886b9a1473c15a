package setup

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"time"

	"github.com/BurntSushi/toml"
)

// Book is the name of the calibration book where the bench file names no other.
const Book = "calibration.toml"

// File is one bench.toml, complete: what it left out has its default.
type File struct {
	Bench  Bench
	Device Device
	Listen string // address and port of the web server
	Data   string // folder of the run files

	Calibration string // path of the calibration book; empty = none is kept
	CheckMasses string // path of the file of the laboratory's check masses; empty = there is none
	Since       Since

	LeftOut []string // keys of numbers that the file does not give, in their order
}

// Since holds the days from which on the parts of a bench are what they are. What was
// found about an older part does not count. Zero = not stated.
type Since struct{ Distance, Force, Spring time.Time }

// Load reads and checks the bench file at path. The files that it names are looked for
// beside it; the calibration book lies there unless the file says otherwise. Its errors name the file and, where
// one is at fault, the line.
func Load(path string) (File, error) {
	text, err := os.ReadFile(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return File{}, fmt.Errorf("read %s: there is no such file", path)
	case err != nil:
		return File{}, fmt.Errorf("read %s: %w", path, err)
	}
	f, err := Parse(string(text))
	if err != nil {
		return File{}, fmt.Errorf("read %s: %w", filepath.Base(path), err)
	}
	if f.Calibration == "" {
		f.Calibration = Book
	}
	for _, beside := range []*string{&f.Calibration, &f.CheckMasses} {
		if *beside != "" && !filepath.IsAbs(*beside) {
			*beside = filepath.Join(filepath.Dir(path), *beside)
		}
	}
	return f, nil
}

// Parse reads and checks the text of a bench file.
func Parse(text string) (File, error) {
	f, meta, err := lay(Blank(), text)
	if err != nil {
		return File{}, err
	}
	for _, key := range measured {
		if !meta.IsDefined(key) {
			return File{}, fmt.Errorf("%s is missing: measure it and write it in", key)
		}
	}
	for _, q := range new(keys).quantities(&f) {
		if !meta.IsDefined(q.key) {
			f.LeftOut = append(f.LeftOut, q.key)
		}
	}
	return f, f.check(lineNumbers(text))
}

// sane refuses numbers that no bench can have, by their own key and unit.
func sane(q quantity) error {
	v := *q.from
	switch {
	case math.IsNaN(v) || math.IsInf(v, 0):
		return fmt.Errorf("%s = %v: must be a finite number", q.key, v)
	case strings.Contains(q.key, "_u_") || strings.HasSuffix(q.key, "_u"):
		if v < 0 {
			return fmt.Errorf("%s = %g: an uncertainty must be zero or positive", q.key, v)
		}
	case strings.Contains(q.key, "_mass_") || strings.Contains(q.key, "_length_") ||
		strings.Contains(q.key, "noise") || strings.Contains(q.key, "delay") ||
		q.key == "spring_initial_tension_N" || q.key == "spring_safe_extension_mm":
		if v < 0 {
			return fmt.Errorf("%s = %g: must not be negative", q.key, v)
		}
	case q.key == "spring_rate_N_m" || q.key == "support_height_mm":
		if v <= 0 {
			return fmt.Errorf("%s = %g: must be positive", q.key, v)
		}
	}
	return nil
}

// check looks at the file as a whole.
func (f *File) check(lines map[string]int) error {
	if err := f.Bench.Apparatus.Check(); err != nil {
		return err
	}
	if f.Bench.Calibration.Distance.Noise == 0 {
		return fmt.Errorf("line %d: distance_noise_mm = 0: no sensor is without noise, state what it is", lines["distance_noise_mm"])
	}
	if err := f.Bench.Calibration.Check(); err != nil {
		return err
	}
	if lag := f.Bench.Motion.Lag.Seconds(); !(lag > 0 && lag <= 0.060) {
		return fmt.Errorf("line %d: motion_lag_ms = %g: must lie above 0 and not above 60", lines["motion_lag_ms"], 1e3*lag)
	}
	if d := f.Bench.Motion.Degree; d < 1 || d > 3 {
		return fmt.Errorf("line %d: motion_degree = %d: must be 1, 2 or 3", lines["motion_degree"], d)
	}
	if f.Device.Baud <= 0 {
		return fmt.Errorf("line %d: baud = %d: must be positive", lines["baud"], f.Device.Baud)
	}
	return nil
}

// decodeError says what the library refused of text, in our words where it is the usual
// slip.
func decodeError(err error, text string) error {
	parse, ok := errors.AsType[toml.ParseError](err)
	if !ok {
		return err
	}
	line := ""
	if at := strings.Split(text, "\n"); parse.Position.Line >= 1 && parse.Position.Line <= len(at) {
		line = at[parse.Position.Line-1]
	}
	if decimalComma.MatchString(line) {
		return fmt.Errorf("line %d: numbers are written with a point: %s", parse.Position.Line, strings.TrimSpace(line))
	}
	return fmt.Errorf("line %d: %s", parse.Position.Line, parse.Message)
}

// decimalComma finds a number with a comma as the whole value of a key.
var decimalComma = regexp.MustCompile(`=\s*[-+]?\d+,\d+\s*(#.*)?$`)

// lineNumbers finds on which line each key stands.
func lineNumbers(text string) map[string]int {
	at := map[string]int{}
	for i, line := range strings.Split(text, "\n") {
		line = strings.TrimSpace(line)
		if name, ok := strings.CutPrefix(line, "["); ok {
			at[strings.TrimRight(name, "[] ")] = i + 1
			continue
		}
		if key, _, ok := strings.Cut(line, "="); ok {
			at[strings.Trim(strings.TrimSpace(key), `"`)] = i + 1
		}
	}
	return at
}
