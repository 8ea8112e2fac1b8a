package columns

import (
	"bytes"
	"encoding/csv"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/parquet-go/parquet-go"
	"github.com/stretchr/testify/require"
)

func sample() []Column {
	return []Column{{"run", Count}, {"rig.load.mass_kg", Number}, {"cause", Word}, {"a \"quoted\" one", Word}, {"=SUM(A1)", Boolean}}
}

func TestCSV(t *testing.T) {
	var out bytes.Buffer
	table, err := CSV(&out, sample())
	require.NoError(t, err)
	require.NoError(t, table.Row(int64(1), -180.25, "moved, then fell", "-1+1", true))
	require.NoError(t, table.Row(int64(1)<<53, math.NaN(), "", "\"", false))
	require.NoError(t, table.Close())
	rows, err := csv.NewReader(&out).ReadAll()
	require.NoError(t, err)
	require.Equal(t, [][]string{
		{"run", "rig.load.mass_kg", "cause", "a \"quoted\" one", "'=SUM(A1)"},
		{"1", "-180.25", "moved, then fell", "'-1+1", "true"},
		{"9007199254740992", "", "", "\"", "false"},
	}, rows)
}

// What is written comes back by another reader, in its order, with as many groups as it takes,
// and nulls where there is no value.
func TestParquetComesBack(t *testing.T) {
	var out bytes.Buffer
	columns := []Column{{"run", Count}, {"rig.load.mass_kg", Number}, {"cause", Word}, {"third", Boolean}}
	table, err := Parquet(&out, columns)
	require.NoError(t, err)
	const n = 2*rowsInGroup + 10
	for i := range n {
		mass := float64(i) / 3
		if i%5 == 0 {
			mass = math.NaN()
		}
		require.NoError(t, table.Row(int64(i), mass, "c"+strconv.Itoa(i%7), i%3 == 0))
	}
	require.NoError(t, table.Close())
	file, err := parquet.OpenFile(bytes.NewReader(out.Bytes()), int64(out.Len()))
	require.NoError(t, err)
	require.Len(t, file.RowGroups(), 3)
	var names []string
	for _, f := range file.Schema().Fields() {
		names = append(names, f.Name())
	}
	require.Equal(t, []string{"run", "rig.load.mass_kg", "cause", "third"}, names)
	type row struct {
		Cause string   `parquet:"cause"`
		Mass  *float64 `parquet:"rig.load.mass_kg,optional"`
		Run   int64    `parquet:"run"`
		Third bool     `parquet:"third"`
	}
	rows, err := parquet.Read[row](bytes.NewReader(out.Bytes()), int64(out.Len()))
	require.NoError(t, err)
	require.Len(t, rows, n)
	for i, r := range rows {
		require.Equal(t, int64(i), r.Run)
		require.Equal(t, i%3 == 0, r.Third)
		require.Equal(t, "c"+strconv.Itoa(i%7), r.Cause)
		if i%5 == 0 {
			require.Nil(t, r.Mass)
		} else {
			require.InDelta(t, float64(i)/3, *r.Mass, 0)
		}
	}
}

func TestRowsThatDoNotFit(t *testing.T) {
	for name, begin := range map[string]func(io.Writer, []Column) (Writer, error){"CSV": CSV, "Parquet": Parquet} {
		t.Run(name, func(t *testing.T) {
			table, err := begin(io.Discard, sample())
			require.NoError(t, err)
			require.EqualError(t, table.Row(int64(1)), "a row of 1 values for 5 columns")
			require.EqualError(t, table.Row(1, 2.0, "", "", true), "column run holds int; must hold a count")
			require.EqualError(t, table.Row(int64(1), 2.0, "", "", 1.0), "column =SUM(A1) holds float64; must hold true or false")
			require.EqualError(t, table.Row(int64(1), 2.0, "", nil, true), "column a \"quoted\" one holds <nil>; must hold a word")
		})
	}
}

// A file that cannot be written says so at the latest when the table ends.
func TestTableThatCannotBeWritten(t *testing.T) {
	for name, begin := range map[string]func(io.Writer, []Column) (Writer, error){"CSV": CSV, "Parquet": Parquet} {
		t.Run(name, func(t *testing.T) {
			table, err := begin(full{}, []Column{{"cause", Word}})
			for range 100 {
				if err == nil {
					err = table.Row(strings.Repeat("x", 100))
				}
			}
			if err == nil {
				err = table.Close()
			}
			require.ErrorIs(t, err, io.ErrShortWrite)
		})
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, io.ErrShortWrite }

// A row takes no memory of its own: what is kept of a long table is a group of rows, and of each group before it how its
// columns lie in the file.
func TestParquetRowsTakeNoMemory(t *testing.T) { //nolint:paralleltest // it counts what is allocated
	table, err := Parquet(io.Discard, sample())
	require.NoError(t, err)
	row := []any{int64(1), 1.5, "moved", "state", true}
	for range rowsInGroup + 1 {
		require.NoError(t, table.Row(row...))
	}
	require.Less(t, testing.AllocsPerRun(rowsInGroup/2, func() { _ = table.Row(row...) }), 1.0)
	require.NoError(t, table.Close())
}
