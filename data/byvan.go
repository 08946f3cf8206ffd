package data

// byVan gives each van its records, which come in pieces of a file, in the order
// of the file; vans come in the order of their first record. Records of a van
// that stand together, as they mostly do, are not moved.
func byVan[T any](pieces [][]T, stockID func(*T) string) (vans []string, groups [][]T) {
	type run struct { // of records of one van in one piece
		van, piece, start, end int32
	}
	var runs []run
	place := map[string]int32{} // of a van among vans
	var rows, parts []int       // of each van
	for p, piece := range pieces {
		for start := 0; start < len(piece); {
			id := stockID(&piece[start])
			end := start + 1
			for end < len(piece) && stockID(&piece[end]) == id {
				end++
			}
			van, known := place[id]
			if !known {
				van = int32(len(vans))
				place[id] = van
				vans, rows, parts = append(vans, id), append(rows, 0), append(parts, 0)
			}
			rows[van] += end - start
			parts[van]++
			runs = append(runs, run{van, int32(p), int32(start), int32(end)})
			start = end
		}
	}
	groups = make([][]T, len(vans))
	for _, r := range runs {
		records := pieces[r.piece][r.start:r.end:r.end]
		switch {
		case parts[r.van] == 1:
			groups[r.van] = records
			continue
		case groups[r.van] == nil:
			groups[r.van] = make([]T, 0, rows[r.van])
		}
		groups[r.van] = append(groups[r.van], records...)
	}
	return vans, groups
}
