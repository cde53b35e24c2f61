"""The ink on the shelf: deliveries and use booked, what is left, what to order."""
