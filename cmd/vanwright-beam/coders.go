package main

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"reflect"

	"github.com/apache/beam/sdks/v2/go/pkg/beam"
)

// What travels between workers has coders of its own, so that a runner passes it
// on as bytes that it does not look into. Without them the SDK describes a struct
// to the runner as a row, which Flink's runner takes apart and puts together again
// in Java; a job on Flink failed while it did so.
func init() {
	beam.RegisterCoder(reflect.TypeFor[Yard](), encodeYard, decodeYard)
	beam.RegisterCoder(reflect.TypeFor[Sums](), encodeSums, decodeSums)
	beam.RegisterCoder(reflect.TypeFor[Written](), encodeWritten, decodeWritten)
	beam.RegisterCoder(reflect.TypeFor[Block](), encodeBlock, decodeBlock)
}

// What is small travels as JSON, in which a decimal is text and nothing of it is
// lost. Each type has functions of its own, since the SDK finds a coder on another
// machine by the name of its functions, and all of a generic one have the same.
func encodeYard(y Yard) ([]byte, error)       { return json.Marshal(y) }
func encodeSums(s Sums) ([]byte, error)       { return json.Marshal(s) }
func encodeWritten(w Written) ([]byte, error) { return json.Marshal(w) }

func decodeYard(text []byte) (Yard, error)       { return fromJSON[Yard](text) }
func decodeSums(text []byte) (Sums, error)       { return fromJSON[Sums](text) }
func decodeWritten(text []byte) (Written, error) { return fromJSON[Written](text) }

func fromJSON[T any](text []byte) (T, error) {
	var v T
	err := json.Unmarshal(text, &v)
	return v, err
}

// encodeBlock writes the two numbers, then each text after its length. The rows
// are nearly all of it, and are copied once.
func encodeBlock(b Block) []byte {
	to := make([]byte, 0, 5*binary.MaxVarintLen64+len(b.Yard)+len(b.Header)+len(b.Text))
	to = binary.AppendUvarint(to, uint64(b.Place))
	to = binary.AppendUvarint(to, uint64(b.Rows))
	to = append(binary.AppendUvarint(to, uint64(len(b.Yard))), b.Yard...)
	to = append(binary.AppendUvarint(to, uint64(len(b.Header))), b.Header...)
	return append(to, b.Text...)
}

var errBlock = errors.New("a block of rows arrived cut short")

func decodeBlock(from []byte) (Block, error) {
	var numbers [2]uint64
	for i := range numbers {
		n, size := binary.Uvarint(from)
		if size <= 0 {
			return Block{}, errBlock
		}
		numbers[i], from = n, from[size:]
	}
	var texts [2]string
	for i := range texts {
		n, size := binary.Uvarint(from)
		if size <= 0 || n > uint64(len(from)-size) {
			return Block{}, errBlock
		}
		from = from[size:]
		texts[i], from = string(from[:n]), from[n:]
	}
	return Block{Yard: texts[0], Place: int(numbers[0]), Header: texts[1], Rows: int(numbers[1]), Text: from}, nil
}
