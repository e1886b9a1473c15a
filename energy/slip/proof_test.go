package slip

import (
	"maps"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"

	"joulewell/energy/worksheet"
)

// benches is how many benches a proof runs over: few by default, more by
// JOULEWELL_BENCHES.
func benches(t *testing.T) int {
	text := os.Getenv("JOULEWELL_BENCHES")
	if text == "" {
		return 120
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 {
		t.Fatalf("JOULEWELL_BENCHES = %q: must be a number above zero", text)
	}
	return n
}

// accused reports whether anything is held against the student.
func accused(r *Report) bool {
	return slices.ContainsFunc(r.Marks, func(m Mark) bool {
		return m.Verdict == Off || m.Verdict == Slipped || m.Verdict == Undecided || m.Verdict == Follows
	})
}

func TestHonestRoundingIsNotAccused(t *testing.T) {
	n := benches(t)
	sheets, figures := 0, 0
	for seed := range uint64(n) {
		x := newTrial(t, seed)
		r := x.hold(t)
		if accused(r) {
			sheets++
			if sheets <= 5 {
				t.Logf("bench %d, habit %d: %v\n%v", seed, x.habit, r.Marks, x.texts)
			}
		}
		figures += len(x.texts)
	}
	t.Logf("%d of %d sheets accused, %d figures", sheets, n, figures)
	if float64(sheets) > 0.005*float64(n) {
		t.Errorf("%d of %d honest sheets are accused: must be fewer than 0.5 %%", sheets, n)
	}
}

// score counts what became of planted slips.
type score struct{ named, undecided, wrong, missed, unseen int }

func (s *score) add(o score) {
	s.named, s.undecided, s.wrong = s.named+o.named, s.undecided+o.undecided, s.wrong+o.wrong
	s.missed, s.unseen = s.missed+o.missed, s.unseen+o.unseen
}

// share is how many of those that can be seen are named right; one named wrongly counts
// whether it can be seen or not.
func (s score) share() float64 {
	return float64(s.named) / float64(s.named+s.undecided+s.wrong+s.missed)
}

// judge holds a report against the slips that were planted, none of which it knows to be
// like another: a slip that was not made and is named is wrong, whatever else is said;
// where not every slip shows, there is nothing to find; and otherwise all must be named.
func (s *score) judge(x *trial, r *Report, planted []slipped) {
	named := func(k Kind) bool {
		return slices.ContainsFunc(r.Findings, func(f Finding) bool { return f.Kind == k })
	}
	seen, all := true, true
	for i, p := range planted {
		seen = seen && x.seen(planted, i)
		all = all && named(p.kind)
	}
	switch {
	case slices.ContainsFunc(r.Findings, func(f Finding) bool {
		return !slices.ContainsFunc(planted, func(p slipped) bool { return p.kind == f.Kind })
	}):
		s.wrong++
	case !seen:
		s.unseen++
	case all:
		s.named++
	case slices.ContainsFunc(r.Marks, func(m Mark) bool { return m.Verdict == Undecided }):
		s.undecided++
	default:
		s.missed++
	}
}

func TestSingleSlips(t *testing.T) {
	var all score
	by := map[Kind]*score{}
	for seed := range uint64(benches(t)) {
		x := newTrial(t, seed)
		possible := x.possible()
		p := possible[x.IntN(len(possible))]
		r := x.hold(t, p)
		if by[p.kind] == nil {
			by[p.kind] = &score{}
		}
		var one score
		one.judge(&x, r, []slipped{p})
		all.add(one)
		by[p.kind].add(one)
	}
	for _, k := range Kinds() {
		if by[k] != nil {
			t.Logf("%-45s %+v", k, *by[k])
		}
	}
	t.Logf("all: %+v: %.4f named right", all, all.share())
	if all.share() < 0.97 {
		t.Errorf("%.4f of the planted slips that can be seen are named right: must be 0.97", all.share())
	}
}

func TestPairsOfSlips(t *testing.T) {
	var all score
	for seed := range uint64(benches(t)) {
		x := newTrial(t, seed)
		possible := x.possible()
		var pair []slipped
		for len(pair) < 2 {
			p, q := possible[x.IntN(len(possible))], possible[x.IntN(len(possible))]
			if together(try{kind: p.kind}, try{kind: q.kind}) {
				pair = []slipped{p, q}
			}
		}
		r := x.hold(t, pair...)
		all.judge(&x, r, pair)
	}
	t.Logf("all: %+v: %.4f named right", all, all.share())
	if all.share() < 0.85 {
		t.Errorf("%.4f of the planted pairs that can be seen are named right: must be 0.85", all.share())
	}
}

// A figure with one digit miswritten has no slip behind it: seldom may one be named.
func TestMiswrittenFigures(t *testing.T) {
	n, named, off := benches(t), 0, 0
	for seed := range uint64(n) {
		x := newTrial(t, seed)
		x.hold(t)
		ids := slices.Sorted(maps.Keys(x.texts))
		id := ids[x.IntN(len(ids))]
		x.texts[id] = miswritten(x.Rand, x.texts[id])
		r, err := Hold(x.Sheet, x.texts)
		if err != nil {
			t.Fatal(err)
		}
		if accused(r) {
			off++
			if len(r.Findings) > 0 {
				named++
			}
		}
	}
	t.Logf("of %d miswritten figures %d are seen to be off, and a slip is named for %d", n, off, named)
	if off < n*9/10 || named > off*7/100 {
		t.Errorf("of %d miswritten figures %d are off and %d are named: want nine tenths off, and of those no more than 7 %% named", n, off, named)
	}
}

// miswritten changes one of the first three digits.
func miswritten(r *rand.Rand, text string) string {
	digits := []byte(text)
	var at []int
	for i, c := range digits {
		if c >= '0' && c <= '9' && (i == 0 || digits[i-1] != 'e') && len(at) < 3 {
			at = append(at, i)
		}
	}
	i := at[r.IntN(len(at))]
	digits[i] = '0' + (digits[i]-'0'+byte(1+r.IntN(9)))%10
	return string(digits)
}

// The hardest sheet asks for the loss alone: everything may have gone wrong behind it.
func BenchmarkHoldLossAlone(b *testing.B) {
	s := sheet(b, severn(b), worksheet.Choice{Results: []worksheet.ID{worksheet.Lost}})
	for b.Loop() {
		hold(b, s, texts{worksheet.Lost: "7.77 J"})
	}
}
