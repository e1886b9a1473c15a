package quantity_test

import (
	"reflect"
	"testing"

	"joulewell/energy/quantity"
)

func TestTable(t *testing.T) {
	want := [][]string{{"load", "rule"}, {"100 g", "71,2 cm"}}
	for name, text := range map[string]string{
		"commas":           "load,rule\n100 g,\"71,2 cm\"\n",
		"semicolons":       "load;rule\n100 g;71,2 cm\n",
		"tabs":             "load\trule\n100 g\t71,2 cm\n",
		"byte order mark":  "\ufeffload;rule\r\n100 g;71,2 cm\r\n",
		"blanks and marks": "\ufeffload, rule\n100 g, \"71,2 cm\"",
	} {
		if got, err := quantity.Table(text).ReadAll(); err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %q, %v", name, got, err)
		}
	}
}
