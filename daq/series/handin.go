package series

import (
	"cmp"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"joulewell/daq/runfile"
	"joulewell/energy/slip"
	"joulewell/energy/worksheet"
)

// HandIn is what a group has worked out of a trial.
type HandIn struct {
	Run     string                  `json:"run"`   // of the trial; empty = the one that is sealed, or the newest that counts
	Index   int                     `json:"index"` // [1]
	Group   string                  `json:"group"`
	Figures map[worksheet.ID]string `json:"figures"` // by blank, with their units
}

// What is kept of hand-ins, at most.
const (
	mostGroups = 100 // files
	mostSheets = 30  // of a group, the newest
	mostText   = 600 // [characters] of an answer
)

// handInFolder lies in the data folder and holds a file for each group.
const handInFolder = "hand-ins"

// ErrHandIn is wrapped by refusals of a hand-in, as by those of [slip.Hold].
var ErrHandIn = errors.New("not taken")

// Held is what is said of a hand-in, and the trial that it was held against.
type Held struct {
	Run   string `json:"run"`
	Index int    `json:"index"` // [1] place among the trials of the run
	Group string `json:"group"` // under whose label it is kept
	*slip.Report
}

// handed is a hand-in as it is kept.
type handed struct {
	HandIn
	At     time.Time    `json:"at"`
	Asked  Asked        `json:"asked"`
	Report *slip.Report `json:"report"`
}

// handedBy is the file of a group.
type handedBy struct {
	Version int      `json:"version"`
	Group   string   `json:"group"`
	Sheets  []handed `json:"sheets"` // the newest last; of a trial only the newest
}

// HandIn holds a group's figures against the worksheet that was sealed, keeps both, and
// opens the results once every blank is filled, rightly or not. What it says gives hints
// and no answers.
func (s *Series) HandIn(h HandIn) (*Held, error) {
	if err := h.check(); err != nil {
		return nil, err
	}
	s.mu.Lock()
	asked := s.memory.Asked
	s.mu.Unlock()
	if h.Run == "" {
		h.Run, h.Index = asked.Run, asked.Index
	}
	open := asked.Run == "" || asked.Run == h.Run && asked.Index == h.Index
	asked.Run, asked.Index = h.Run, h.Index
	if _, err := s.row(&asked); err != nil {
		return nil, err
	}
	h.Run, h.Index = asked.Run, asked.Index
	sheet, _, err := s.Worksheet(asked)
	if err != nil {
		return nil, err
	}
	report, err := slip.Hold(sheet, h.Figures)
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if l, err := s.find(h.Run, h.Index); err == nil {
		h.Group = cmp.Or(h.Group, l.Group)
	}
	if err := s.keepHandIn(handed{h, s.opt.Now().UTC().Truncate(time.Second), asked, report}); err != nil {
		return nil, err
	}
	if open && filled(sheet, h.Figures) && s.memory.Sealed {
		s.seal(false)
		s.remember()
	}
	return &Held{h.Run, h.Index, h.Group, report}, nil
}

func (h *HandIn) check() error {
	if err := checkGroup(h.Group); err != nil {
		return err
	}
	for id, text := range h.Figures {
		if n := utf8.RuneCountInString(text); n > mostText {
			return fmt.Errorf("%w: %s has %d characters: at most %d can be kept", ErrHandIn, id, n, mostText)
		}
	}
	return nil
}

// filled reports whether nothing that the sheet asks for is left empty.
func filled(s *worksheet.Sheet, figures map[worksheet.ID]string) bool {
	return !slices.ContainsFunc(s.Results, func(i worksheet.Item) bool { return strings.TrimSpace(figures[i.ID]) == "" })
}

// keepHandIn adds a hand-in to the file of its group. The lock is held.
func (s *Series) keepHandIn(h handed) error {
	if err := s.dir.Mkdir(handInFolder, 0o755); err != nil && !errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("keep the hand-in: %w", err)
	}
	dir, err := s.dir.OpenRoot(handInFolder)
	if err != nil {
		return fmt.Errorf("keep the hand-in: %w", err)
	}
	defer dir.Close()
	name := fileOf(h.Group)
	file, err := readHandIns(dir, name)
	if err != nil {
		return err
	}
	file.Version, file.Group = memoryVersion, h.Group
	file.Sheets = slices.DeleteFunc(file.Sheets, func(o handed) bool { return o.Run == h.Run && o.Index == h.Index })
	file.Sheets = append(file.Sheets, h)
	file.Sheets = file.Sheets[max(0, len(file.Sheets)-mostSheets):]
	text, err := json.MarshalIndent(&file, "", " ")
	if err == nil {
		err = runfile.Replace(dir, name, append(text, '\n'))
	}
	if err != nil {
		return fmt.Errorf("keep the hand-in: %w", err)
	}
	return nil
}

// readHandIns reads the file of a group; it refuses one file too many. One that cannot be
// read is begun anew, for it would keep a class from going on.
func readHandIns(dir *os.Root, name string) (file handedBy, err error) {
	text, err := dir.ReadFile(name)
	if err == nil {
		if json.Unmarshal(text, &file) != nil {
			file = handedBy{}
		}
		return file, nil
	}
	entries, err := fs.ReadDir(dir.FS(), ".")
	if err != nil {
		return file, fmt.Errorf("keep the hand-in: %w", err)
	}
	if len(entries) >= mostGroups {
		return file, fmt.Errorf("%w: %d groups have handed in: move the folder %s of the data folder away to begin anew", ErrHandIn, mostGroups, handInFolder)
	}
	return file, nil
}

// fileOf names the file of a group: what of its label every file system takes, and a sum
// that tells labels apart.
func fileOf(group string) string {
	slug := strings.Map(func(c rune) rune {
		if c >= 'a' && c <= 'z' || c >= '0' && c <= '9' {
			return c
		}
		return '-'
	}, strings.ToLower(group))
	sum := sha256.Sum256([]byte(group))
	return fmt.Sprintf("%s-%x.json", slug[:min(len(slug), 30)], sum[:4])
}
