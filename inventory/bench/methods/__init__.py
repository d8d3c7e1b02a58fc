"""The methods: what readings of each sort prove."""
