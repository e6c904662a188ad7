"""What `./gaugerod` runs: the embedded services, the processes of the shop, and the words about them."""
