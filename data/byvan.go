package data

// byVan gives each van its records, in the order of the file; vans come in the
// order of their first record. Where the rows of each van stand together, as
// they mostly do, nothing is moved.
func byVan[T any](all []T, stockID func(*T) string) (vans []string, groups [][]T) {
	place := map[string]int{} // of a van among vans
	of := make([]int32, len(all))
	var counts []int
	together := true
	last := -1
	for i := range all {
		id := stockID(&all[i])
		if last < 0 || vans[last] != id {
			next, known := place[id]
			if !known {
				next = len(vans)
				place[id] = next
				vans, counts = append(vans, id), append(counts, 0)
			}
			together = together && !known
			last = next
		}
		of[i] = int32(last)
		counts[last]++
	}
	groups = make([][]T, len(vans))
	rest := all
	if !together {
		rest = make([]T, len(all))
	}
	for i, n := range counts {
		groups[i], rest = rest[:n:n], rest[n:]
	}
	if !together {
		clear(counts)
		for i, van := range of {
			groups[van][counts[van]] = all[i]
			counts[van]++
		}
	}
	return vans, groups
}

// mapByVan is byVan as a map.
func mapByVan[T any](all []T, stockID func(*T) string) map[string][]T {
	vans, groups := byVan(all, stockID)
	out := make(map[string][]T, len(vans))
	for i, id := range vans {
		out[id] = groups[i]
	}
	return out
}
