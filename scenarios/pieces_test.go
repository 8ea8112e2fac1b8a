package scenarios_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant/identify"
	"holdbench/plant/problem"
	"holdbench/scenarios"
)

// What is written is read back, one piece a line.
func TestPiecesRoundTrip(t *testing.T) {
	pieces := []identify.Pieces{
		{Recording: "one.csv", Pieces: []identify.Piece{
			{Kind: identify.TravelUp, FromS: 0.5, ToS: 1.25, Why: "motor at 94.2 rad/s, 0.01 rad/s²"},
			{Kind: identify.Other, FromS: 1.25, ToS: 2},
		}},
		{Recording: "two, with a comma.csv"},
	}
	text, err := scenarios.FormatPieces(pieces, "found in the recordings")
	require.NoError(t, err)
	assert.Contains(t, string(text), "# found in the recordings\n")
	assert.Contains(t, string(text), "- {kind: travel-up, from_s: 0.5, to_s: 1.25, why: ")
	read, err := scenarios.ParsePieces("pieces.yaml", text)
	require.NoError(t, err)
	assert.Equal(t, pieces[0].Pieces, read["one.csv"])
	assert.Contains(t, read, "two, with a comma.csv")
}

// What is wrong is said with line and column.
func TestPiecesRefused(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"Key", "recordings:\n  - recording: a.csv\n    peices: []\n", `pieces.yaml:3:5: unknown key "peices"`},
		{"Kind", "recordings:\n  - recording: a.csv\n    pieces:\n      - {kind: up, from_s: 0, to_s: 1}\n", `pieces.yaml:4:16: kind is "up"; must be one of standstill-open`},
		{"Time", "recordings:\n  - recording: a.csv\n    pieces:\n      - {kind: travel-up, from_s: 2, to_s: 1}\n", "pieces.yaml:4:44: to_s is 1, and from_s is 2"},
		{"Twice", "recordings:\n  - {recording: a.csv, pieces: []}\n  - {recording: a.csv, pieces: []}\n", `pieces.yaml:3:17: recording "a.csv" is there twice`},
		{"NaN", "recordings:\n  - recording: a.csv\n    pieces:\n      - {kind: travel-up, from_s: .nan, to_s: 1}\n", "pieces.yaml:4:35"},
		{"Rig", "rig: x\ntitle: y\n", "this is a rig; must be a document of pieces"},
		{"Empty", "", "document is empty"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := scenarios.ParsePieces("pieces.yaml", []byte(c.text))
			require.ErrorContains(t, err, c.want)
			assert.NotEmpty(t, problem.Of(err))
		})
	}
}

// Every built-in rig takes other values: where it has the value, in that line with its comment, and else in its section.
func TestRewriteRig(t *testing.T) {
	values := []scenarios.RigValue{
		{Path: "load.mass_kg", Text: "181.5", Remark: "fitted, 181.4 to 181.6 kg"},
		{Path: "brake.wind_up_deg", Text: "0.0964", Remark: "fitted"},
		{Path: "brake.rise_time", Text: "20.03ms", Remark: "fitted"},
		{Path: "transmission.efficiency", Text: "0.97", Remark: "fitted"},
	}
	for _, name := range scenarios.Names(scenarios.RigKind) {
		text, err := scenarios.RewriteRig(name, values)
		require.NoError(t, err, name)
		rig, _, err := scenarios.ParseRig(name, text)
		require.NoError(t, err)
		before, _, err := scenarios.LoadRig(name)
		require.NoError(t, err)
		assert.Equal(t, 181.5, rig.Load.MassKG)
		assert.Equal(t, 0.0964, rig.Brake.WindUpDeg)
		rig.Load.MassKG, rig.Brake.WindUpDeg = before.Load.MassKG, before.Brake.WindUpDeg
		rig.Brake.RiseTime, rig.Transmission.Efficiency = before.Brake.RiseTime, before.Transmission.Efficiency
		assert.Equal(t, before, rig, "%s: nothing else has changed", name)
		assert.Contains(t, string(text), "  mass_kg: 181.5   # fitted, 181.4 to 181.6 kg\n")
	}
	_, err := scenarios.RewriteRig("pane-hoist", []scenarios.RigValue{{Path: "load.mass_kg", Text: "-1"}})
	assert.ErrorContains(t, err, "load.mass_kg")
}
