package schemacmd

import (
	"testing"

	"holdbench/cmd/holdbench/internal/clitest"
)

func TestExamples(t *testing.T) {
	program().Examples(t, "schema", []clitest.Example{
		{Line: "holdbench schema", Prints: []string{`^rig +one axis`}},
		{Line: "holdbench schema sequence --out sequence.schema.json", Prints: []string{`^wrote sequence.schema.json$`}},
		{Line: "holdbench schema run", Prints: []string{`"title": "holdbench run"`}, Data: true},
	})
}
