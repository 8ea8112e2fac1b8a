package sim

import "testing"

func BenchmarkJudgeScan(b *testing.B) {
	r := judgeRig()
	r.Judge.Dwell, r.Judge.Deadline = 1<<40, 1<<41
	j := newJudge(r)
	in := pressed()
	b.ReportAllocs()
	for b.Loop() {
		j.step(in)
	}
}
