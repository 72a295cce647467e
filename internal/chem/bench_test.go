package chem

import "testing"

var sink Result

func benchmarkPH(b *testing.B, s *Solution) {
	b.ReportAllocs()
	var evaluations int
	for b.Loop() {
		sink, _ = PH(s)
		evaluations = sink.Iterations
	}
	b.ReportMetric(float64(evaluations), "evaluations")
}

func BenchmarkPHCitric(b *testing.B) { benchmarkPH(b, mix{Citric: 0.01}.solution()) }

func BenchmarkPHBitterLemon(b *testing.B) {
	benchmarkPH(b, mix{
		Citric: 0.02, Malic: 0.003, Ascorbic: 0.0005, Phosphoric: 0.0005, Benzoic: 0.001, Carbonic: 0.13, Quinine: 0.0002,
		Sodium: 0.006, Potassium: 0.004, Calcium: 0.001, Magnesium: 0.0005, Chloride: 0.001, Sulfate: 0.0003,
	}.solution())
}

func BenchmarkPHEverySpecies(b *testing.B) {
	var s Solution
	for k := range s.Amounts {
		s.Amounts[k] = 0.005
	}
	benchmarkPH(b, &s)
}

func BenchmarkChargePerMole(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		sink.PH = ChargePerMole(Citric, 3.2, Medium{IonicStrength: 0.02, Calcium: 0.001})
	}
}

func BenchmarkTitratableAcidity(b *testing.B) {
	s := mix{Citric: 0.02, Malic: 0.003, Potassium: 0.004}.solution()
	b.ReportAllocs()
	for b.Loop() {
		sink.PH, _ = TitratableAcidity(s, EndPoint82, Citric)
	}
}

func BenchmarkBrixFromDensity(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		sink.PH, _ = BrixFromDensity(1045, 20)
	}
}
