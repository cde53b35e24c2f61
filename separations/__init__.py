"""What goes on each film, and what does it take to print it?"""
