package table

import "joulewell/daq/trials"

// Trial is one trial of a group.
type Trial struct {
	Run     string // name of its run, without extension
	Group   string // label chosen by the class; may be empty
	Virtual bool   // the readings are simulated
	Row     trials.Row
}

// Table is what trials say together.
type Table struct {
	Groups      []Group      `json:"groups"`      // in order of their first trial
	Comparisons []Comparison `json:"comparisons"` // quantity by quantity, each group with each later one
	Notes       []string     `json:"notes"`       // what must be known when reading it
}

// Group is the trials of one label, made with one spring and one bob on one bench.
type Group struct {
	Label   string   `json:"label"` // as chosen, else the bench's name; with what tells it from others of the same
	Bench   string   `json:"bench"`
	Spring  string   `json:"spring"`
	Bob     string   `json:"bob"`
	Virtual bool     `json:"virtual"`  // some of its readings are simulated
	Trials  int      `json:"trials"`   // [1] that count
	LeftOut int      `json:"left_out"` // [1] that do not
	Columns []Column `json:"columns"`  // a quantity that no trial has is not among them
}

// Column is one quantity over the counted trials of a group. Numbers without a unit of
// their own carry Unit.
type Column struct {
	Key       string   `json:"key"`              // as in the row's JSON
	Label     string   `json:"label"`            // for people
	Unit      string   `json:"unit"`             // SI
	N         int      `json:"n"`                // [1] trials that have it
	Mean      float64  `json:"mean"`             // [Unit]
	SD        *float64 `json:"sd,omitempty"`     // [Unit] of one trial, by the scatter; nil with one trial
	UMean     *float64 `json:"u_mean,omitempty"` // [Unit] standard uncertainty of the mean by the scatter (type A)
	UShared   float64  `json:"u_shared"`         // [Unit] standard uncertainty by what all its trials share: more of them do not lessen it
	UCombined float64  `json:"u_combined"`       // [Unit] both together
	U         float64  `json:"U"`                // [Unit] expanded uncertainty of the mean, 95 %
	K         float64  `json:"k"`                // [1] coverage factor of U, Student's
	DoF       *float64 `json:"dof,omitempty"`    // [1] effective degrees of freedom of UCombined; nil = no end of them
	Outliers  []int    `json:"outliers"`         // places among all trials, from 0, of those that Grubbs' test suspects
	Trend     *Trend   `json:"trend,omitempty"`  // nil with fewer than three trials
}

// Trend is a line over the order of the trials.
type Trend struct {
	PerTrial float64 `json:"per_trial"` // [Unit]
	U        float64 `json:"u"`         // [Unit] standard uncertainty of PerTrial
	P        float64 `json:"p"`         // [1] probability that scatter alone shows as much or more
}

// Comparison is one quantity of two groups. Numbers without a unit of their own carry
// Unit.
type Comparison struct {
	Key        string   `json:"key"`
	Label      string   `json:"label"`
	Unit       string   `json:"unit"`
	A          string   `json:"a"`             // label of a group
	B          string   `json:"b"`             // label of the other
	Difference float64  `json:"difference"`    // [Unit] mean of A less mean of B
	UScatter   float64  `json:"u_scatter"`     // [Unit] standard uncertainty of it by the scatter of both
	UShared    float64  `json:"u_shared"`      // [Unit] the same by what the trials of each share and the groups do not
	U          float64  `json:"u"`             // [Unit] both together
	T          float64  `json:"t"`             // [1] Difference over U
	DoF        *float64 `json:"dof,omitempty"` // [1] of U, by Welch and Satterthwaite; nil = no end of them
	P          float64  `json:"p"`             // [1] probability of as large a T where there is no difference
	PAmong     float64  `json:"p_among"`       // [1] the same, seen that so many pairs were compared (Holm)
	From       float64  `json:"from"`          // [Unit] 95 % interval of the difference
	To         float64  `json:"to"`            // [Unit]
	Sentence   string   `json:"sentence"`      // what may be claimed
}
