package collect

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"joulewell/daq/series"
	"joulewell/daq/trials/kept"
)

// Benches are the folders of several benches, named once: nothing else on the disk is
// reached through them.
type Benches struct{ folders []folder }

type folder struct {
	name string // the folder's own, without the way to it
	dir  *os.Root
}

// Bench is what is kept in the folder of one bench.
type Bench struct {
	Name     string      `json:"name"`     // by its trials, else the folder's
	Sealed   bool        `json:"sealed"`   // its results are withheld, and no trial is counted here
	Runs     int         `json:"runs"`     // [1] whose trials are kept
	Unjudged int         `json:"unjudged"` // [1] runs of which nothing is kept
	Troubles []string    `json:"troubles"`
	Kept     []kept.Kept `json:"-"` // none while sealed
}

// OpenBenches opens folders.
func OpenBenches(paths []string) (*Benches, error) {
	b := &Benches{}
	for _, path := range paths {
		dir, err := os.OpenRoot(path)
		if err != nil {
			b.Close()
			return nil, fmt.Errorf("open the folder of a bench: %w: name the data folder of a bench that has recorded", err)
		}
		if slices.ContainsFunc(b.folders, func(f folder) bool { return same(f.dir, dir) }) {
			dir.Close()
			continue // named twice, it counts once
		}
		name := filepath.Base(path)
		if whole, err := filepath.Abs(path); err == nil {
			name = filepath.Base(whole)
		}
		b.folders = append(b.folders, folder{name, dir})
	}
	return b, nil
}

// same reports whether two folders are one.
func same(a, b *os.Root) bool {
	x, err := a.Stat(".")
	if err != nil {
		return false
	}
	y, err := b.Stat(".")
	return err == nil && os.SameFile(x, y)
}

// Close closes the folders.
func (b *Benches) Close() error {
	var all []error
	for _, f := range b.folders {
		all = append(all, f.dir.Close())
	}
	return errors.Join(all...)
}

// Look reads what is kept in each folder now. Nothing is worked out: a run that was not
// judged is counted as such.
func (b *Benches) Look() []Bench {
	all := make([]Bench, 0, len(b.folders))
	for _, f := range b.folders {
		all = append(all, f.look())
	}
	return all
}

func (f *folder) look() Bench {
	b := Bench{Name: f.name, Sealed: series.SealedIn(f.dir), Troubles: []string{}}
	found, faults := kept.List(f.dir)
	for _, fault := range faults {
		b.Troubles = append(b.Troubles, fault.Error())
	}
	judged := map[string]bool{}
	for i := range found {
		if found[i].Trials != nil {
			judged[found[i].Run] = true
			b.Name = cmp.Or(bench(&found[i]), b.Name)
		}
	}
	b.Runs = len(judged)
	entries, err := fs.ReadDir(f.dir.FS(), ".")
	if err != nil {
		return b // told among the faults
	}
	for _, e := range entries {
		run, described := strings.CutSuffix(e.Name(), csvExt+"-metadata.json")
		if _, err := f.dir.Lstat(run + csvExt); described && err == nil && !judged[run] {
			b.Unjudged++
		}
	}
	if !b.Sealed {
		b.Kept = found
	}
	return b
}
