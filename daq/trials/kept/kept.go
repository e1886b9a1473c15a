// Package kept answers: what is kept of the trials of a run, and what did people say of
// them?
//
// In: the rows of trials as they were judged, and the label of the group that made them.
// Out: a file beside the run's, NAME.trials.json, replaced as a whole or not at all; and
// the trials of a folder, without a run being worked out again. The run file stays what
// it was: rows of readings.
//
// A file that cannot be read is told, and keeps no other from being read.
package kept

import (
	"cmp"
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"
	"time"

	"joulewell/daq/runfile"
	"joulewell/daq/trials"
)

// version is that of the files; another one is refused.
const version = 1

const ext = ".trials.json"

// Kept is what is kept of the trials of one run.
type Kept struct {
	Version  int          `json:"version"`
	Run      string       `json:"run"`     // its name, without extension
	Created  time.Time    `json:"created"` // the instant of the run's time zero
	Virtual  bool         `json:"virtual"` // the readings are simulated
	Group    string       `json:"group"`   // label chosen by the class; may be empty
	Software string       `json:"software"`
	Rule     *trials.Rule `json:"rule,omitempty"` // by which they were over; nil = nobody watched
	Trials   []trials.Row `json:"trials"`         // in order of time; Row.Run is the run file's name
}

// Write keeps k in dir, in the place of what was kept of its run before.
func Write(dir *os.Root, k Kept) error {
	k.Version = version
	text, err := json.MarshalIndent(&k, "", " ")
	if err != nil {
		return fmt.Errorf("keep the trials of %s: %w", k.Run, err)
	}
	if err := runfile.Replace(dir, k.Run+ext, append(text, '\n')); err != nil {
		return fmt.Errorf("keep the trials of %s: %w", k.Run, err)
	}
	return nil
}

// Read returns what is kept of a run; nothing kept is fs.ErrNotExist.
func Read(dir *os.Root, run string) (Kept, error) {
	text, err := dir.ReadFile(run + ext)
	if err != nil {
		return Kept{}, fmt.Errorf("read the trials of %s: %w", run, err)
	}
	var k Kept
	if err := json.Unmarshal(text, &k); err != nil {
		return Kept{}, fmt.Errorf("read %s: %w: remove it, and the trials are judged anew", run+ext, err)
	}
	if k.Version != version {
		return Kept{}, fmt.Errorf("read %s: it is of version %d, and this program reads %d: remove it, and the trials are judged anew", run+ext, k.Version, version)
	}
	k.Run = run // a file may have been renamed together with its run
	return k, nil
}

// List returns what is kept in dir, the oldest run first, and why anything could not be
// read.
func List(dir *os.Root) ([]Kept, []error) {
	entries, err := fs.ReadDir(dir.FS(), ".")
	if err != nil {
		return nil, []error{fmt.Errorf("list the trials in %s: %w", dir.Name(), err)}
	}
	var all []Kept
	var faults []error
	for _, e := range entries {
		run, ok := strings.CutSuffix(e.Name(), ext)
		if !ok || run == "" || !e.Type().IsRegular() {
			continue
		}
		k, err := Read(dir, run)
		if err != nil {
			faults = append(faults, err)
			continue
		}
		all = append(all, k)
	}
	slices.SortFunc(all, func(a, b Kept) int {
		return cmp.Or(a.Created.Compare(b.Created), cmp.Compare(a.Run, b.Run))
	})
	return all, faults
}
