package wire

// Column is one of the columns of the line protocol.
type Column uint8

// The columns. Those that the protocol knows by name come first, in the order of
// [Columns]; the others hold whatever else a device sends.
const (
	Seq Column = iota
	DeviceUs
	EchoUs
	RangeMm
	LoadCounts
	LoadN
	AirCentiC
	AirHumidityPct
	Other1 // columns of unknown name, in the order in which the device names them
	Other2
	Other3
	Other4
	ColumnCount
)

const (
	knownCount = int(Other1)
	otherCount = int(ColumnCount) - knownCount
)

var columnNames = [ColumnCount]string{
	"seq", "t_us", "echo_us", "range_mm", "load_counts", "load_N", "air_centi_C", "air_humidity_pct",
	"other_1", "other_2", "other_3", "other_4",
}

// ColumnName returns the name of c on the line. Those of [Other1] to [Other4] are
// placeholders: what the device calls them is told by [Decoder.OtherNames].
func ColumnName(c Column) string { return columnNames[c] }

// ColumnByName returns the column that the protocol knows by this name.
func ColumnByName(name string) (c Column, known bool) {
	for i, n := range columnNames[:knownCount] {
		if n == name {
			return Column(i), true
		}
	}
	return 0, false
}

// Columns returns the columns that the protocol knows by name. The slice is new at
// each call.
func Columns() []Column {
	known := make([]Column, knownCount)
	for i := range known {
		known[i] = Column(i)
	}
	return known
}
