package recordcmd

import (
	"testing"

	"holdbench/cmd/holdbench/internal/clitest"
)

// program is a holdbench of what this package has, and no more.
func program() clitest.Program { return clitest.With(New) }

func TestMain(m *testing.M) { program().Main(m) }

func TestScripts(t *testing.T) { clitest.Scripts(t) }

func TestPageIsKept(t *testing.T) { program().Pages(t, "record --help") }

func TestExamples(t *testing.T) {
	program().Examples(t, "record", []clitest.Example{
		{Line: "holdbench record lining-worn-thin -o worn.cast", Prints: []string{`^wrote worn\.cast: 193 frames, 21\.2 s$`}},
		{Line: "holdbench record lining-worn-thin -o worn.svg", Short: "--fps 2", Prints: []string{`^wrote worn\.svg: 40 frames`}},
		{Line: "holdbench record healthy-down --fault lining-worn --size 120x40 -o worn_2.svg", Short: "--fps 1", Prints: []string{`^wrote worn_2\.svg: `}},
		{Line: "holdbench record lining-worn-thin --from 3s --to 4s --speed 0.2 -o slow.cast", Prints: []string{`^wrote slow\.cast: 51 frames, 7\.0 s$`}},
		{Line: "holdbench record lining-worn-thin --hide-truth -o hidden.svg", Short: "--fps 2", Prints: []string{`^wrote hidden\.svg: `}},
		{Line: "holdbench record healthy-down --theme light --fps 5 -o healthy.svg", Prints: []string{`^wrote healthy\.svg: `}},
		{Line: "holdbench record lining-worn-thin --large --view judge -o judge.svg", Short: "--fps 2", Prints: []string{`^wrote judge\.svg: 40 frames`}},
		{Line: "holdbench record healthy-down --as cast -o - | asciinema play -", Prints: []string{`^\{"version":2,"width":80,"height":24,"title":"holdbench: healthy-down","env"`, `^\[0\.1,"o","`}, Data: true},
	})
}
