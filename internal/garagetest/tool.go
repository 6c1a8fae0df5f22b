package garagetest

import "axlestand/internal/garage"

// Tool is a press that is always here.
func Tool(changes ...func(*garage.Tool)) garage.Tool {
	return with(garage.Tool{ID: 1, Version: 1, Name: "Press, 20 t", Capacity: 1, Note: "Behind the compressor"}, changes)
}
