"""The pages: views fetch with selectors and answers, write with services, and show. No model, no sum."""
