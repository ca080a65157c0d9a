package main

import (
	"math"
	"sort"
)

// shares splits a variance.
type shares struct{ skill, pass, mixture, noise float64 }

// split is the analysis of variance of value[operator][pass][run], two crossed factors.
func split(value [][][]float64) shares {
	var all, ops, within []float64
	byPass := make([][]float64, len(value[0]))
	var cells []float64
	for _, o := range value {
		var mine []float64
		for i, cell := range o {
			mine = append(mine, cell...)
			byPass[i] = append(byPass[i], cell...)
			cells = append(cells, mean(cell))
			within = append(within, variance(cell))
		}
		all = append(all, mine...)
		ops = append(ops, mean(mine))
	}
	var ps []float64
	for _, p := range byPass {
		ps = append(ps, mean(p))
	}
	total := variance(all)
	s := shares{skill: variance(ops) / total, pass: variance(ps) / total, noise: mean(within) / total}
	s.mixture = variance(cells)/total - s.skill - s.pass
	return s
}

func mean(x []float64) float64 {
	var sum float64
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

func variance(x []float64) float64 {
	m := mean(x)
	var sum float64
	for _, v := range x {
		sum += (v - m) * (v - m)
	}
	return sum / float64(len(x))
}

// ranks returns the rank of each value, ties sharing theirs.
func ranks(x []float64) []float64 {
	order := make([]int, len(x))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return x[order[a]] < x[order[b]] })
	out := make([]float64, len(x))
	for i := 0; i < len(order); {
		k := i
		for k < len(order) && x[order[k]] == x[order[i]] {
			k++
		}
		for _, o := range order[i:k] {
			out[o] = float64(i+k-1) / 2
		}
		i = k
	}
	return out
}

// rankCorrelation is Spearman's.
func rankCorrelation(x, y []float64) float64 {
	a, b := ranks(x), ranks(y)
	ma, mb := mean(a), mean(b)
	var ab, aa, bb float64
	for i := range a {
		ab += (a[i] - ma) * (b[i] - mb)
		aa += (a[i] - ma) * (a[i] - ma)
		bb += (b[i] - mb) * (b[i] - mb)
	}
	return ab / math.Sqrt(aa*bb)
}
