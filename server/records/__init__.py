"""What a record may hold: one schema for each kind. Tables, entries, endpoints, exports and the OpenAPI
document are all made from these, so that a field is named, bounded and explained in one place."""
