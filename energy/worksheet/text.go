package worksheet

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// Text returns s as plain text to print: readings, blanks, rules.
func (s *Sheet) Text() string {
	var b strings.Builder
	heading(&b, s.Title)
	b.WriteString("Read:\n")
	for _, r := range s.Readings {
		fmt.Fprintf(&b, "  %s  %8s %s\n", dotted(r.named()), r.Printed, r.Unit)
	}
	b.WriteString("\nWork out:\n")
	for _, r := range s.Results {
		if r.ID == Explanation {
			fmt.Fprintf(&b, "  %s:\n\n  %s\n\n  %s\n", r.Label, strings.Repeat("_", width+14), strings.Repeat("_", width+14))
			continue
		}
		fmt.Fprintf(&b, "  %s  ________ %s\n", dotted(r.named()), r.Unit)
	}
	b.WriteByte('\n')
	for _, rule := range s.Rules {
		fmt.Fprintf(&b, "- %s\n", rule)
	}
	return b.String()
}

// Text returns k as plain text to print.
func (k *Key) Text() string {
	var b strings.Builder
	heading(&b, k.Title)
	b.WriteString("Key:\n")
	for _, i := range k.Items {
		if i.Value == nil {
			fmt.Fprintf(&b, "  %s\n    %s\n", i.Label, k.Verdict)
			continue
		}
		digit := i.Value.Place - 1 // one more than must be kept shows where the bounds lie
		fmt.Fprintf(&b, "  %s  %8s %s   (%s to %s)\n    %s\n", dotted(i.Label), i.Printed, i.Unit,
			inUnit(i.Value.Low, digit, i.ID.find()), inUnit(i.Value.High, digit, i.ID.find()), i.Formula)
	}
	for _, n := range k.Notes {
		fmt.Fprintf(&b, "- %s\n", n)
	}
	return b.String()
}

func heading(b *strings.Builder, title string) {
	if title != "" {
		fmt.Fprintf(b, "%s\n%s\n\n", title, strings.Repeat("=", utf8.RuneCountInString(title)))
	}
}

// named is the label with the symbol that the formulas use.
func (i Item) named() string {
	if symbol := i.ID.find().symbol; symbol != "" {
		return i.Label + ", " + symbol
	}
	return i.Label
}

const width = 66 // [1] characters of the column of labels

func dotted(label string) string {
	return label + " " + strings.Repeat(".", max(2, width-1-utf8.RuneCountInString(label)))
}
