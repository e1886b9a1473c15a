package kept

import "joulewell/daq/trials/table"

// Trials are all trials that were kept, in the order of the runs, for a table.
func Trials(all []Kept) []table.Trial {
	var list []table.Trial
	for i := range all {
		for _, row := range all[i].Trials {
			list = append(list, table.Trial{Run: all[i].Run, Group: all[i].Group, Virtual: all[i].Virtual, Row: row})
		}
	}
	return list
}
